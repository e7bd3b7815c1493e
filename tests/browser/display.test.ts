/** What can be chosen for one screen: palette, clock, degrees. By keyboard, and kept. */
import { afterEach, beforeEach, expect, test } from 'vitest';
import { openWindow, type Window } from './chromium.ts';
import { measured } from './scripted-known.ts';
import { scriptedPanel } from './scripted-panel.ts';
import { startScriptedBoat, type ScriptedBoat } from './scripted-boat.ts';

let boat: ScriptedBoat;
let window: Window;

beforeEach(async () => {
  boat = await startScriptedBoat();
  boat.panel = (atMs) => {
    const state = scriptedPanel(atMs);
    const batteries = state.batteries.map((bank) => ({ ...bank, celsius: measured(21.4) }));
    return { ...state, batteries };
  };
  window = await openWindow({ width: 360, height: 740 });
  await window.page.goto(boat.url);
  await window.page.locator('.bus').first().waitFor();
});

afterEach(async () => {
  await window.close();
  await boat.stop();
});

const ground = () => window.styleOf('html', 'background-color');
const choose = async (label: string) => {
  await window.page.getByRole('button', { name: 'Display' }).press('Enter');
  await window.page.getByRole('radio', { name: new RegExp(`^${label}`) }).press('Space');
  await window.page.keyboard.press('Escape');
};

test('every palette can be chosen, and holds after the page was left', async () => {
  await expect.poll(ground).toBe('rgb(223, 225, 223)');
  await choose('Night');
  await expect.poll(ground).toBe('rgb(0, 0, 0)');
  // The browser's own frame must not shine either.
  const frame = window.page.locator('meta[name="theme-color"]');
  await expect.poll(() => frame.getAttribute('content')).toMatch(/^#(000|000000)$/);
  await window.page.reload();
  await window.page.locator('.bus').first().waitFor();
  await expect.poll(ground).toBe('rgb(0, 0, 0)');
  await choose('Dusk');
  await expect.poll(ground).toBe('rgb(15, 17, 18)');
  await choose('As this device');
  await window.page.emulateMedia({ colorScheme: 'dark' });
  await expect.poll(ground).toBe('rgb(15, 17, 18)');
  await window.page.emulateMedia({ colorScheme: 'light' });
  await expect.poll(ground).toBe('rgb(223, 225, 223)');
  expect(window.errors).toEqual([]);
});

test('degrees and clock change wherever they stand', async () => {
  const shown = async () =>
    (await window.page.locator('main').innerText()).replaceAll('\u00a0', ' ');
  expect(await shown()).toContain('21.4 °C');
  await choose('Fahrenheit');
  await expect.poll(shown).toContain('70.5 °F');
  expect(await shown()).not.toContain('°C');
  expect(await shown()).not.toMatch(/\d (am|pm)/);
  await choose('12 hours');
  await expect.poll(shown).toMatch(/\d (am|pm)/);
});
