/** Charts: gaps stay gaps, choices are kept in the address, and the numbers are there as text. */
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { openWindow, type Window } from './chromium.ts';
import { overloadWarning } from './scripted-alerts.ts';
import { startScriptedBoat, type ScriptedBoat } from './scripted-boat.ts';
import { EVENING_MS } from './scripted-panel.ts';

const MINUTE_MS = 60_000;
let boat: ScriptedBoat;
let window: Window;

beforeEach(async () => {
  boat = await startScriptedBoat();
  window = await openWindow({ width: 1366, motion: 'reduce' });
});

afterEach(async () => {
  await window.close();
  await boat.stop();
});

/** Charts are loaded when needed, and numbers change once in two seconds. */
const eventually = <T>(read: () => T | Promise<T>) => expect.poll(read, { timeout: 15_000 });

const fixedSpan = (minutes: number) => `from=${EVENING_MS - minutes * MINUTE_MS}&to=${EVENING_MS}`;

/**
 * Columns of the plot, from 0 to 1 of its width, in which the first trace's ink is found. Read back
 * from the canvas itself: what is drawn, not what was meant to be.
 */
const INKED_COLUMNS = `(() => {
  const canvas = document.querySelector('canvas');
  const { width, height } = canvas;
  const pixels = canvas.getContext('2d').getImageData(0, 0, width, height).data;
  const inked = [];
  for (let x = Math.round(width * 0.08); x < width; x += 1) {
    for (let y = 0; y < height * 0.9; y += 1) {
      const at = (y * width + x) * 4;
      const isInk = pixels[at + 3] > 200 && pixels[at] < 60 && pixels[at + 1] < 60;
      if (isInk) { inked.push(x / width); break; }
    }
  }
  return inked;
})()`;

describe('a time without readings', () => {
  beforeEach(async () => {
    // Ten minutes of silence in the middle of an hour.
    boat.hole = { fromMs: EVENING_MS - 35 * MINUTE_MS, toMs: EVENING_MS - 25 * MINUTE_MS };
    await window.page.goto(`${boat.url}#history?points=bow-l1-amps&${fixedSpan(60)}`);
    await window.page.locator('.key li').waitFor();
  });

  test('is a hole in the drawing, on both sides of which the line goes on', async () => {
    const inked = () => window.page.evaluate<number[]>(INKED_COLUMNS);
    await eventually(async () => (await inked()).length).toBeGreaterThan(200);
    const columns = await inked();
    expect(columns.filter((x) => x > 0.47 && x < 0.58)).toEqual([]);
    expect(columns.filter((x) => x > 0.2 && x < 0.4).length).toBeGreaterThan(100);
    expect(columns.filter((x) => x > 0.65 && x < 0.95).length).toBeGreaterThan(100);
  });

  test('is a row that says so in the table, without a number', async () => {
    await window.page.getByText('The same as a table').click();
    const rows = await window.page.locator('.chart tbody tr').allInnerTexts();
    const inside = rows.filter((row) => /^(17:5[6-9]|18:0[0-3])/.test(row));
    expect(inside.length).toBeGreaterThan(3);
    for (const row of inside) expect(row).toMatch(/no readings$/);
    expect(
      rows.filter((row) => row.endsWith('no readings') && !row.includes('partly')).length,
    ).toBeLessThan(rows.length / 3);
    expect(rows.join(' ')).not.toMatch(/[^\d.]0\.0/);
  });

  test('is named in words beside the figures', async () => {
    const words = (await window.page.locator('.key li').innerText()).replaceAll('\u00a0', ' ');
    expect(words).toMatch(/No readings 17:5\d to 18:05/);
    expect(words).toMatch(/least \d+\.\d A, mean \d+\.\d A, greatest \d+\.\d A/);
  });
});

describe('choices', () => {
  test('are made with the keyboard and kept in the address', async () => {
    await window.page.goto(`${boat.url}#history`);
    await window.page.getByText('Choose one or more points to draw.').waitFor();
    const bow = window.page.getByRole('group', { name: 'Bow inlet' });
    await bow.getByRole('checkbox', { name: 'Current L1' }).focus();
    await window.page.keyboard.press('Space');
    await window.page.locator('canvas').waitFor();
    await window.page.getByRole('button', { name: '6 h' }).click();
    await bow.getByRole('checkbox', { name: 'Voltage L1' }).check();
    await eventually(() => window.page.locator('canvas').count()).toBe(2);
    expect(new URL(window.page.url()).hash).toBe(
      '#history?points=bow-l1-amps,bow-l1-volts&span=6h',
    );
    await window.page.reload();
    await eventually(() => window.page.locator('canvas').count()).toBe(2);
    await window.page.getByRole('button', { name: /^Drop bow-inlet volts/ }).click();
    await eventually(() => window.page.locator('canvas').count()).toBe(1);
    expect(window.errors).toEqual([]);
  });

  test('of a span whose end lies before its beginning are refused in words', async () => {
    await window.page.goto(`${boat.url}#history?points=bow-l1-amps&span=1h`);
    await window.page.locator('canvas').waitFor();
    await window.page.getByRole('button', { name: 'From and to' }).click();
    await window.page.getByLabel('From').fill('2026-07-01T18:00');
    await window.page.getByLabel('To', { exact: true }).fill('2026-07-01T17:00');
    await window.page.getByRole('button', { name: 'Show' }).click();
    await window.page.getByText('The end must lie after the beginning.').waitFor();
    await window.page.getByLabel('To', { exact: true }).fill('2026-07-01T18:30');
    await window.page.getByRole('button', { name: 'Show' }).click();
    const [fromMs, toMs] = [EVENING_MS - 30 * MINUTE_MS, EVENING_MS];
    await window.page.waitForURL(/from=/);
    expect(new URL(window.page.url()).hash).toBe(
      `#history?points=bow-l1-amps&from=${fromMs}&to=${toMs}`,
    );
  });

  test('that the boat refuses are answered with its own words', async () => {
    boat.refusals.set('history', { status: 400, message: 'There is no point with that name.' });
    await window.page.goto(`${boat.url}#history?points=bow-l1-amps&span=1h`);
    const problem = window.page.getByRole('alert').filter({ hasText: 'There is no point' });
    await problem.waitFor();
    expect(await window.page.locator('canvas').count()).toBe(0);
  });

  test('come from an alert, with the time around it', async () => {
    boat.open.set(overloadWarning().id, overloadWarning());
    await window.page.goto(boat.url);
    await window.page.getByRole('link', { name: /^Show the history/ }).click();
    await eventually(() => window.page.locator('canvas').count()).toBe(2);
    expect(new URL(window.page.url()).hash).toMatch(
      /^#history\?points=bow-l1-amps,bow-l1-volts&from=/,
    );
  });
});

test('a span up to now grows with the boat between two questions', async () => {
  await window.page.goto(`${boat.url}#history?points=refrigerator-amps&span=24h`);
  const words = window.page.locator('.key li');
  await words.waitFor();
  const asked = () => window.requests.filter((url) => url.includes('/api/v1/history')).length;
  expect(asked()).toBe(1);
  const greatest = async () => /greatest (\S+)/.exec(await words.innerText())?.[1];
  const before = await greatest();
  boat.surge = { pointId: 'refrigerator-amps', value: 21.9 };
  await eventually(greatest).toContain('21.9');
  expect(before).not.toContain('21.9');
  expect(asked()).toBe(1);
});
