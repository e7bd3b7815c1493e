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

const hash = () => new URL(window.page.url()).hash;
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
    await window.page.locator('canvas').waitFor();
    await window.page.locator('.picker summary').focus();
    await window.page.keyboard.press('Enter');
    const bow = window.page.getByRole('group', { name: 'Bow inlet' });
    await bow.getByRole('checkbox', { name: 'Current L2' }).focus();
    await window.page.keyboard.press('Space');
    await window.page.getByRole('button', { name: '6 h' }).click();
    await bow.getByRole('checkbox', { name: 'Voltage L1' }).check();
    await eventually(() => window.page.locator('canvas').count()).toBe(2);
    expect(hash()).toMatch(/^#history\?points=bow-l1-amps,[^&]*,bow-l1-volts&span=6h$/);
    expect(hash()).not.toContain('bow-l2-amps');
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
    await window.page.getByLabel('From', { exact: true }).fill('2026-07-01T18:00');
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

describe('looking closer', () => {
  const HOUR_MS = 3_600_000;
  const spanOfAddress = () => {
    const query = new URLSearchParams(hash().split('?')[1]);
    return { fromMs: Number(query.get('from')), toMs: Number(query.get('to')) };
  };
  const hours = () => {
    const { fromMs, toMs } = spanOfAddress();
    return (toMs - fromMs) / HOUR_MS;
  };

  beforeEach(async () => {
    await window.page.goto(`${boat.url}#history?points=bow-l1-amps&${fixedSpan(360)}`);
    await eventually(() => window.page.evaluate<number[]>(INKED_COLUMNS)).not.toEqual([]);
  });

  test('by drawing a frame with the pointer; the way back leads out again', async () => {
    const frame = window.page.locator('.chart-canvas');
    await frame.evaluate((one) => one.scrollIntoView({ block: 'center' }));
    const box = await frame.boundingBox();
    if (box === null) throw new Error('There is no chart.');
    const y = box.y + box.height / 2;
    await window.page.mouse.move(box.x + box.width * 0.5, y);
    await window.page.mouse.down();
    await window.page.mouse.move(box.x + box.width * 0.75, y, { steps: 4 });
    await window.page.locator('.brush').waitFor();
    await window.page.mouse.up();
    await eventually(hours).toBeLessThan(2);
    expect(hours()).toBeGreaterThan(1.3);
    const { fromMs, toMs } = spanOfAddress();
    const middle = (fromMs + toMs) / 2;
    expect((middle - (EVENING_MS - 6 * HOUR_MS)) / (6 * HOUR_MS)).toBeCloseTo(0.62, 1);
    expect(await window.page.locator('.brush').count()).toBe(0);
    await window.page.goBack();
    await eventually(hours).toBe(6);
  });

  test('with the keys, and with buttons for those who have neither', async () => {
    await window.page.locator('.chart-canvas').focus();
    await window.page.keyboard.press('+');
    await eventually(hours).toBe(3);
    await window.page.keyboard.press('ArrowLeft');
    await eventually(() => spanOfAddress().fromMs).toBe(EVENING_MS - 5.25 * HOUR_MS);
    await window.page.keyboard.press('-');
    await eventually(hours).toBe(6);
    // The focus stays on the chart while new readings come in.
    expect(await window.page.evaluate('document.activeElement.className')).toBe('chart-canvas');
    await window.page.getByRole('button', { name: 'Earlier' }).click();
    await eventually(() => spanOfAddress().fromMs).toBe(EVENING_MS - 12.75 * HOUR_MS);
    await window.page.getByRole('button', { name: 'Zoom in' }).click();
    await eventually(hours).toBe(3);
    expect(window.errors).toEqual([]);
  });

  test('many steps in a row ask the boat once, and the chart stays meanwhile', async () => {
    const asked = () => window.requests.filter((url) => url.includes('/history')).length;
    const before = asked();
    await window.page.locator('.chart-canvas').focus();
    await window.page.evaluate(`(async () => {
      for (let step = 0; step < 6; step += 1) {
        const press = new KeyboardEvent('keydown', { key: 'ArrowLeft', bubbles: true });
        document.querySelector('.chart-canvas').dispatchEvent(press);
        await new Promise((drawn) => requestAnimationFrame(drawn));
      }
    })()`);
    expect(spanOfAddress().fromMs).toBe(EVENING_MS - (6 + 6 * 1.5) * HOUR_MS);
    expect(await window.page.locator('canvas').count()).toBe(1);
    await eventually(asked).toBe(before + 1);
    await eventually(() => window.page.locator('.chart').getAttribute('aria-busy')).toBe('false');
    expect(asked()).toBe(before + 1);
  });
});

describe('beside the curves', () => {
  beforeEach(async () => {
    await window.page.goto(`${boat.url}#history?points=bow-l1-amps&span=6h`);
    await window.page.locator('.key li').waitFor();
  });

  test('stands what fed the boat, in words too', async () => {
    await window.page.locator('.behind summary').click();
    const rows = await window.page.locator('.behind li').allInnerTexts();
    expect(rows).toEqual([
      expect.stringMatching(/^12:3\d to 15:30: Bow inlet$/),
      '15:30 to 17:00: Bow inlet and Small generator',
      expect.stringMatching(/^17:00 to 18:3\d: Bow inlet$/),
    ]);
  });

  test('an event leads to its moment, which has an address of its own', async () => {
    const list = window.page.getByRole('region', { name: 'What happened' });
    await list.getByLabel('Find in this list').fill('generator FED');
    const link = list.getByRole('link');
    await eventually(() => link.count()).toBe(2);
    await link.filter({ hasText: '15:30' }).click();
    const at = EVENING_MS - 3 * 3_600_000;
    await eventually(hash).toBe(
      `#history?points=bow-l1-amps&from=${at - 1_800_000}&to=${at + 1_800_000}&at=${at}`,
    );
    await window.page.reload();
    const marked = window.page.locator('.moments a[aria-current]');
    await marked.waitFor();
    expect(await marked.innerText()).toContain('15:30');
  });

  test('alerts that stood then are in the list, with their priority in words', async () => {
    const day = `from=${EVENING_MS - 27 * 3_600_000}&to=${EVENING_MS - 25 * 3_600_000}`;
    await window.page.goto(`${boat.url}#history?points=bow-l1-amps&${day}`);
    const row = window.page.getByRole('link', { name: /Warning:.*Bow inlet is overloaded/ });
    await row.waitFor();
    expect(await row.getAttribute('href')).toContain('&at=');
  });

  test('the week before can be drawn over it, and is named in words', async () => {
    await window.page.getByLabel('Compare with a week before').check();
    const words = window.page.locator('.key li');
    await eventually(() => words.innerText()).toMatch(/a week before: mean \d+\.\d/);
    expect(hash()).toContain('compare=week');
    const weekMs = 7 * 24 * 3_600_000;
    const asked = window.requests
      .filter((url) => url.includes('/history?'))
      .map((url) => {
        const { searchParams } = new URL(url);
        return Number(searchParams.get('to'));
      });
    expect(asked.some((toMs) => Math.abs(toMs + weekMs - EVENING_MS) < 60_000)).toBe(true);
  });

  test('the readings can be taken away as files of the same points and time', async () => {
    const links = window.page.locator('.exports a');
    const addresses = await links.evaluateAll((all) =>
      all.map((one) => one.getAttribute('href') ?? ''),
    );
    const queries = addresses.map((address) => new URL(address, boat.url).searchParams);
    expect(queries.map((query) => query.get('format'))).toEqual(['csv', 'jsonl']);
    for (const query of queries) {
      expect(query.get('points')).toBe('bow-l1-amps');
      expect(Number(query.get('to')) - Number(query.get('from'))).toBe(6 * 3_600_000);
    }
  });
});

describe('what it all came to', () => {
  test('what drew most yesterday is two clicks away, and its curve one more', async () => {
    await window.page.goto(boat.url);
    await window.page.getByRole('link', { name: 'History' }).click();
    await window.page.getByRole('button', { name: 'Yesterday' }).click();
    const list = window.page.getByRole('list', {
      name: /^Energy of each circuit, Tuesday,? 30 June/,
    });
    await list.waitFor();
    // The charts come first; one more step leads past them.
    await window.page.getByRole('button', { name: 'Go to what drew most' }).click();
    expect(await window.page.evaluate('document.activeElement.textContent')).toBe('What drew most');
    const rows = (await list.getByRole('listitem').allInnerTexts()).map((row) =>
      row.replaceAll('\u00a0', ' '),
    );
    const kilowattHours = rows.flatMap((row) => {
      const found = /([\d.]+) kWh/.exec(row)?.[1];
      return found === undefined ? [] : [Number(found)];
    });
    expect(kilowattHours.length).toBeGreaterThan(5);
    expect(kilowattHours).toEqual([...kilowattHours].sort((a, b) => b - a));
    expect(rows[0]).toMatch(/ran \d+ h \d+ min, 11 starts, 97 % of the time known/);
    expect(rows.at(-1)).toMatch(/not known: no readings/);
    await window.page.getByText('Not measured: Cooling water pump.').waitFor();
    await list.getByRole('link', { name: 'Refrigerator' }).click();
    await eventually(hash).toContain('points=refrigerator-amps');
    await window.page.locator('.key').getByText('refrigerator amps').first().waitFor();
  });

  test('a year is added up only when somebody asks for it', async () => {
    await window.page.goto(`${boat.url}#history?points=bow-l1-amps&span=365d`);
    await window.page.getByText('Adding up 365 days takes the boat a while.').waitFor();
    expect(window.requests.some((url) => url.includes('/survey'))).toBe(false);
    await window.page.getByRole('button', { name: 'Add it up' }).click();
    await window.page
      .getByRole('img', { name: /^Load-duration curve of bow-inlet amps/ })
      .waitFor();
    const buckets = window.requests
      .filter((url) => url.includes('/history?'))
      .map((url) => Number(new URL(url).searchParams.get('buckets')));
    expect(Math.max(...buckets)).toBeLessThanOrEqual(1000);
  });

  test('a month is chosen from the calendar', async () => {
    await window.page.goto(`${boat.url}#history?points=bow-l1-amps&span=1h`);
    await window.page.getByRole('button', { name: 'Month' }).click();
    await window.page.getByLabel('Month').selectOption('May');
    await window.page.getByLabel('Year').fill('26');
    await window.page.getByRole('button', { name: 'Show' }).click();
    await window.page.getByText('Give a year in four digits').waitFor();
    await window.page.getByLabel('Year').fill('2026');
    await window.page.getByRole('button', { name: 'Show' }).click();
    await window.page.getByText('May 2026', { exact: true }).first().waitFor();
    expect(hash()).toContain(`from=${Date.UTC(2026, 4, 1, 4)}&to=${Date.UTC(2026, 5, 1, 4)}`);
  });
});
