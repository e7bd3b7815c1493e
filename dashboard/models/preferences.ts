/** What a person may choose for this screen alone, and which palette that leads to. Pure. */

export const PALETTES = ['day', 'dusk', 'night'] as const;
export type Palette = (typeof PALETTES)[number];

export interface Preferences {
  /** A palette by name, the one this screen's own setting asks for, or one by the hour. */
  palette: Palette | 'device' | 'clock';
  clock: '24 h' | '12 h';
  degrees: '°C' | '°F';
}

export const DEFAULTS: Preferences = { palette: 'device', clock: '24 h', degrees: '°C' };

const ALLOWED: { readonly [Key in keyof Preferences]: readonly Preferences[Key][] } = {
  palette: ['device', 'clock', ...PALETTES],
  clock: ['24 h', '12 h'],
  degrees: ['°C', '°F'],
};

function allowed<Key extends keyof Preferences>(key: Key, value: unknown): Preferences[Key] {
  return ALLOWED[key].find((own) => own === value) ?? DEFAULTS[key];
}

/** Reads what was kept. Whatever is missing or not understood becomes the default. */
export function preferencesFrom(text: string | null): Preferences {
  const kept = recordFrom(text);
  return {
    palette: allowed('palette', kept['palette']),
    clock: allowed('clock', kept['clock']),
    degrees: allowed('degrees', kept['degrees']),
  };
}

function recordFrom(text: string | null): Readonly<Record<string, unknown>> {
  try {
    const kept: unknown = JSON.parse(text ?? '{}');
    return typeof kept === 'object' && kept !== null ? { ...kept } : {};
  } catch {
    return {};
  }
}

/** First full hour of each palette by the clock; before the first of them it is still night. */
export const HOURS: readonly (readonly [fromHour: number, palette: Palette])[] = [
  [6, 'dusk'],
  [8, 'day'],
  [18, 'dusk'],
  [22, 'night'],
];

/** `hour` is 0..23 on the screen's own clock; `prefersDark` is what its own setting says. */
export function paletteAt(
  chosen: Preferences['palette'],
  hour: number,
  prefersDark: boolean,
): Palette {
  if (chosen === 'device') return prefersDark ? 'dusk' : 'day';
  if (chosen !== 'clock') return chosen;
  return HOURS.findLast(([from]) => hour >= from)?.[1] ?? 'night';
}
