/** The report: a period is chosen, everything of it is on paper, and nothing else is. */
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { openWindow, type Window } from './chromium.ts';
import { startScriptedBoat, type ScriptedBoat } from './scripted-boat.ts';
import { EVENING_MS } from './scripted-panel.ts';

let boat: ScriptedBoat;
let window: Window;

beforeEach(async () => {
  boat = await startScriptedBoat();
  window = await openWindow({ width: 1024, motion: 'reduce' });
});

afterEach(async () => {
  await window.close();
  await boat.stop();
});

const paper = async () =>
  (await window.page.locator('.paper').innerText()).replaceAll('\u00a0', ' ');
const hash = () => new URL(window.page.url()).hash;
const TWO_DAYS = `report?from=${EVENING_MS - 48 * 3_600_000}&to=${EVENING_MS}`;

/** Widths and heights of all pages of a PDF in points, as its page tree has them (ISO 32000, 7.7.3.3). */
function pageSizes(pdf: Buffer): number[][] {
  const boxes = pdf.toString('latin1').matchAll(/\/MediaBox\s*\[([^\]]*)\]/g);
  return [...boxes].map(([, box]) => (box ?? '').trim().split(/\s+/).slice(2).map(Number));
}

describe('a new user', () => {
  test('prints a month with four choices', async () => {
    await window.page.goto(boat.url);
    await window.page.getByRole('link', { name: 'Report' }).click();
    await window.page.getByRole('button', { name: 'Month' }).click();
    await window.page.getByLabel('Month').selectOption('May');
    await window.page.getByRole('button', { name: 'Show' }).click();
    await window.page.locator('.paper').getByText('May 2026', { exact: true }).waitFor();
    expect(hash()).toBe(`#report?from=${Date.UTC(2026, 4, 1, 4)}&to=${Date.UTC(2026, 5, 1, 4)}`);
    await window.page.evaluate('globalThis.print = () => { globalThis.printed = true; }');
    await window.page.getByRole('button', { name: 'Print' }).click();
    expect(await window.page.evaluate('globalThis.printed')).toBe(true);
    expect(window.errors).toEqual([]);
  });

  test('sees today at first, told up to now', async () => {
    await window.page.goto(`${boat.url}#report`);
    await window.page.locator('.figures').first().waitFor();
    expect(await paper()).toMatch(/1 July 2026, up to 1 Jul 2026, 18:3\d/);
  });
});

describe('on the paper stands', () => {
  beforeEach(async () => {
    await window.page.goto(`${boat.url}#${TWO_DAYS}`);
    await window.page.locator('.figures').first().waitFor();
    await window.page.getByText('Alerts of the period').waitFor();
  });

  test('what it is about: boat, period, version, clock, coverage, and the cautions', async () => {
    const text = await paper();
    for (const part of [
      'Sable Plover',
      '29 Jun 2026, 18:30 to 1 Jul 2026, 18:30',
      'by panelward 0.1.0',
      'Readings cover 97 % of the period on average',
      'No reading proves a circuit dead',
      'licensed electrician',
    ]) {
      expect(text).toContain(part);
    }
    // The sentence about the clock is the boat's own.
    const clock = await fetch(`${boat.url}api/v1/health`).then(
      (answer) => answer.json() as Promise<{ clock: { says: string } }>,
    );
    expect(text).toContain(clock.clock.says);
  });

  test('energy, demand, run time, starts and duty of every circuit, most first', async () => {
    const circuits = window.page.getByRole('table', { name: 'Circuits' });
    const rows = await circuits.locator('tbody tr').allInnerTexts();
    const first = rows[0]?.replaceAll(/[\u00a0\s]+/g, ' ') ?? '';
    // 790 W for 48 h of which 97 per cent are known: 36.78 kWh, 18.6 h at a duty of 40 per cent.
    expect(first).toMatch(/≤ 36\.78 kWh ≤ 0\.79 kW ≤ 1\.34 kW .* 18\.6 h 11 40 % 97 %$/);
    const silent = rows.at(-1)?.replaceAll(/[\u00a0\s]+/g, ' ') ?? '';
    expect(silent).toMatch(/— — — — — — — 0 %$/);
  });

  test('every alert of the period with who acknowledged it, oldest first', async () => {
    const alerts = window.page.locator('.happened').first();
    const rows = await alerts.locator('tbody tr').allInnerTexts();
    expect(rows).toHaveLength(1);
    expect(rows[0]).toMatch(/30 Jun 2026.*Warning.*Bow inlet is overloaded.*Wren, 30 Jun 2026/s);
  });

  test('what changed at the panel, unless it is left out', async () => {
    await window.page.getByText('House bus is now fed by Small generator').waitFor();
    await window.page.getByLabel('With what changed at the panel').uncheck();
    await expect
      .poll(() => window.page.getByText('House bus is now fed by Small generator').count())
      .toBe(0);
    expect(hash()).toContain('events=no');
  });
});

test.each([
  // ISO 216: 210 mm by 297 mm. ANSI Y14.1: 8.5 in by 11 in.
  ['A4', [210 / 25.4, 297 / 25.4]],
  ['Letter', [8.5, 11]],
])('fills %s pages with the paper alone, in black', async (format, inches) => {
  await window.page.goto(`${boat.url}#${TWO_DAYS}`);
  await window.page.locator('.figures').first().waitFor();
  const sizes = pageSizes(await window.page.pdf({ format }));
  expect(sizes.length).toBeGreaterThan(0);
  for (const [width = 0, height = 0] of sizes) {
    expect(Math.abs(width - (inches[0] ?? 0) * 72)).toBeLessThan(1);
    expect(Math.abs(height - (inches[1] ?? 0) * 72)).toBeLessThan(1);
  }
  await window.page.emulateMedia({ media: 'print' });
  for (const hidden of ['header', 'footer', '.report-controls', '.report > h2']) {
    expect({ hidden, display: await window.styleOf(hidden, 'display') }).toEqual({
      hidden,
      display: 'none',
    });
  }
  expect(await window.styleOf('.paper', 'color')).toBe('rgb(0, 0, 0)');
  // Wider than the paper between its margins, the last columns would be cut off.
  const width = Math.floor(((inches[0] ?? 0) - 26 / 25.4) * 96);
  await window.page.setViewportSize({ width, height: 1000 });
  const needed = await window.page.evaluate<number>('document.documentElement.scrollWidth');
  expect(needed).toBeLessThanOrEqual(width);
});

test('a survey that the boat refuses is said on the page, with a way to see the rest', async () => {
  boat.refusals.set('survey', { status: 503, message: 'The history cannot be read.' });
  await window.page.goto(`${boat.url}#${TWO_DAYS}`);
  await window.page.getByRole('alert').filter({ hasText: 'The history cannot be read.' }).waitFor();
  await window.page.getByText('Alerts of the period').waitFor();
  expect(await window.page.locator('.figures').count()).toBe(0);
});
