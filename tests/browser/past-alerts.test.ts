/** Past alerts are found by their words and by their priority. */
import { afterEach, beforeEach, expect, test } from 'vitest';
import { openWindow, type Window } from './chromium.ts';
import { startScriptedBoat, type ScriptedBoat } from './scripted-boat.ts';

let boat: ScriptedBoat;
let window: Window;

beforeEach(async () => {
  boat = await startScriptedBoat();
  window = await openWindow({ width: 820, motion: 'reduce' });
  await window.page.goto(`${boat.url}#alerts`);
  await window.page.locator('.past-alert').nth(1).waitFor();
});

afterEach(async () => {
  await window.close();
  await boat.stop();
});

const found = () => window.page.locator('.past-alert .past-title').allInnerTexts();
const asked = () =>
  window.requests.filter((url) => url.includes('phase=past')).map((url) => new URL(url));

test('by words, asked of the whole record once the typing rests', async () => {
  const before = asked().length;
  await window.page.getByLabel('Find past alerts').pressSequentially('saloon pump', { delay: 20 });
  await expect
    .poll(found, { timeout: 15_000 })
    .toEqual(['Air conditioner, saloon runs without Cooling water pump']);
  const queries = asked().slice(before);
  expect(queries.length).toBeLessThan(4);
  expect(queries.at(-1)?.searchParams.get('text')).toBe('saloon pump');
  await window.page.getByLabel('Find past alerts').fill('nothing like it');
  await window.page.getByText('No past alert is like this.').waitFor();
  await window.page.getByLabel('Find past alerts').fill('');
  await expect.poll(found, { timeout: 15_000 }).toHaveLength(2);
  expect(window.errors).toEqual([]);
});

test('by priority', async () => {
  await window.page.getByLabel('Priority').selectOption('Warning');
  await expect.poll(found, { timeout: 15_000 }).toEqual([expect.stringContaining('overloaded')]);
  expect(asked().at(-1)?.searchParams.get('priority')).toBe('warning');
});
