/** The screen's own choices: kept in this browser and told to nobody, and the palette they lead to. */
import { computed, effect, signal } from '@preact/signals';
import {
  paletteAt,
  preferencesFrom,
  type Palette,
  type Preferences,
} from './models/preferences.ts';
import { preferences } from './preferences.ts';

const KEPT_AS = 'panelward.preferences';
const LOOK_AT_CLOCK_EVERY_MS = 60_000;

function kept(): string | null {
  try {
    return localStorage.getItem(KEPT_AS);
  } catch {
    // A browser may forbid storage; then every visit begins with the defaults.
    return null;
  }
}

/** Takes one choice over and keeps it. */
export function prefer(choice: Partial<Preferences>): void {
  preferences.value = { ...preferences.value, ...choice };
  try {
    localStorage.setItem(KEPT_AS, JSON.stringify(preferences.value));
  } catch {
    // As above: it holds for this visit only.
  }
}

const hour = signal(0);
const prefersDark = signal(false);

/** The palette that is shown. */
export const palette = computed<Palette>(() =>
  paletteAt(preferences.value.palette, hour.value, prefersDark.value),
);

/** Takes up what was kept and puts the palette on the page and the browser's own frame around it. */
export function followScreen(): () => void {
  preferences.value = preferencesFrom(kept());
  const dark = matchMedia('(prefers-color-scheme: dark)');
  const look = () => {
    prefersDark.value = dark.matches;
    hour.value = new Date().getHours();
  };
  look();
  dark.addEventListener('change', look);
  const timer = setInterval(look, LOOK_AT_CLOCK_EVERY_MS);
  const stop = effect(() => {
    const root = document.documentElement;
    root.dataset['palette'] = palette.value;
    const ground = getComputedStyle(root).getPropertyValue('--ground').trim();
    document.querySelector('meta[name="theme-color"]')?.setAttribute('content', ground);
  });
  return () => {
    stop();
    clearInterval(timer);
    dark.removeEventListener('change', look);
  };
}
