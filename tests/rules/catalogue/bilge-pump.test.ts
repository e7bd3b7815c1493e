/**
 * The bilge pump over days: against its own normal, in its own words, and with what chance does to
 * it. Starts come by the Poisson process, the worst that a steady inflow can look like.
 */
import { describe, expect, test } from 'vitest';
import { createRandom } from '../../../simulator/random.ts';
import { DAY_MS, every, HOUR_MS, MINUTE_MS, PumpDays, runsAt, START_MS } from './pump-days.ts';

/** Starts by chance, once in `meanMs` on average, never closer than a run and its back-flow. */
function byChance(seed: number, name: string, meanMs: number, from: number, to: number): number[] {
  const random = createRandom(seed, name);
  const instants: number[] = [];
  let atMs = from + random.exponential(meanMs);
  while (atMs < to) {
    instants.push(atMs);
    atMs += Math.max(2 * MINUTE_MS, random.exponential(meanMs));
  }
  return instants;
}

describe('over a fortnight of one start in 6 h, by chance', () => {
  const noonMs = START_MS + 14.5 * DAY_MS;
  const played = Array.from({ length: 20 }, (_, seed) => {
    const days = new PumpDays();
    days.play(noonMs, runsAt(byChance(seed, 'normal', 6 * HOUR_MS, START_MS, noonMs)));
    const falseAlerts = days.raised.length;
    const leak = byChance(seed, 'leak', 15 * MINUTE_MS, noonMs, noonMs + 4 * HOUR_MS);
    days.play(noonMs + 4 * HOUR_MS, runsAt(leak));
    const told = days.raised.slice(falseAlerts).find(({ key }) => key === 'bilge-pump-often.bilge');
    return { falseAlerts, delayMs: told === undefined ? Infinity : told.atMs - noonMs };
  });

  test('no alert in at least 18 of 20 seeds', () => {
    const quiet = played.filter((own) => own.falseAlerts === 0);
    expect(quiet.length, JSON.stringify(played)).toBeGreaterThanOrEqual(18);
  });

  test('a leak to four starts an hour is told within two hours', () => {
    const told = played.filter(({ delayMs }) => delayMs <= 2 * HOUR_MS);
    expect(told.length, JSON.stringify(played)).toBeGreaterThanOrEqual(18);
  });
});

describe('against its own normal', () => {
  const twiceADay = (days: number) =>
    every(12 * HOUR_MS, START_MS + HOUR_MS, START_MS + days * DAY_MS);

  test('a rainy day of nine starts where two are usual is a warning that says so, no emergency', () => {
    const days = new PumpDays();
    const rainMs = START_MS + 10 * DAY_MS;
    days.play(rainMs, runsAt(twiceADay(10)));
    expect(days.raised).toEqual([]);
    days.play(rainMs + DAY_MS, runsAt(every(2.6 * HOUR_MS, rainMs + HOUR_MS, rainMs + DAY_MS)));
    expect(days.raised).toMatchObject([{ key: 'bilge-pump-often.bilge', priority: 'warning' }]);
    const alert = days.open('bilge-pump-often');
    expect(alert?.title).toMatch(
      /^Bilge pump has started 9 times in the last 24 h; usual is 1 in 12 h$/,
    );
    expect(alert?.means).toContain('Each run takes 20 s at 6.0 A (usual: 6.0 A).');
  });

  test('a boat whose air conditioner drains into the bilge may start it twice an hour, always', () => {
    const days = new PumpDays();
    const untilMs = START_MS + 10 * DAY_MS;
    days.play(untilMs, runsAt(every(20 * MINUTE_MS, START_MS + HOUR_MS, untilMs)));
    // Its first week it had no usual yet: 18 starts a day are many for a boat that nobody knows.
    const late = days.raised.filter(({ atMs }) => atMs > START_MS + 8 * DAY_MS);
    expect(late).toEqual([]);
    const leakMs = untilMs + 2 * HOUR_MS;
    days.play(leakMs, runsAt(every(6 * MINUTE_MS, untilMs, leakMs)));
    expect(days.open('bilge-pump-often')?.priority).toBe('emergency alarm');
  });

  test('its usual is remembered over a restart', () => {
    const days = new PumpDays();
    const untilMs = START_MS + 9 * DAY_MS;
    days.play(untilMs, runsAt(twiceADay(9)));
    days.restart();
    const four = runsAt(every(10 * MINUTE_MS, untilMs + HOUR_MS, untilMs + 1.6 * HOUR_MS));
    days.play(untilMs + 2 * HOUR_MS, four);
    expect(days.open('bilge-pump-often')?.title).toContain('usual is 1 in 12 h');
  });

  test('a memory that does not fit is begun anew', () => {
    const days = new PumpDays();
    const untilMs = START_MS + 9 * DAY_MS;
    days.play(untilMs, runsAt(twiceADay(9)));
    days.restart({ pumps: { bilge: { atMs: 'yesterday' } } });
    const four = runsAt(every(10 * MINUTE_MS, untilMs + HOUR_MS, untilMs + 1.6 * HOUR_MS));
    days.play(untilMs + 2 * HOUR_MS, four);
    expect(days.open('bilge-pump-often')?.title).toContain('its usual is not known yet');
  });
});

describe('a pump that rests', () => {
  test('for three times its longest rest, and a week at least, is due for a test', () => {
    const days = new PumpDays();
    // Every third day, so after nine days of rest.
    const starts = every(3 * DAY_MS, START_MS + DAY_MS, START_MS + 11 * DAY_MS);
    const lastMs = starts.at(-1) ?? 0;
    days.play(lastMs + 8.9 * DAY_MS, runsAt(starts));
    expect(days.raised).toEqual([]);
    days.restart();
    days.play(lastMs + 9.1 * DAY_MS, []);
    expect(days.open('bilge-pump-resting')).toMatchObject({
      priority: 'caution',
      title: 'Bilge pump has not run for 9 days: test its float switch',
    });
    days.play(lastMs + 9.2 * DAY_MS, runsAt([days.nowMs + HOUR_MS]));
    expect(days.open('bilge-pump-resting')).toBeUndefined();
  });

  test('that never ran is due after 30 days', () => {
    const days = new PumpDays();
    days.play(START_MS + 29.9 * DAY_MS, []);
    expect(days.raised).toEqual([]);
    days.play(START_MS + 30.1 * DAY_MS, []);
    expect(days.raised).toMatchObject([{ key: 'bilge-pump-resting.bilge' }]);
  });
});

test('a phantom current never counts as a run', () => {
  const days = new PumpDays();
  const untilMs = START_MS + 2 * DAY_MS;
  const phantom = every(5 * MINUTE_MS, START_MS + HOUR_MS, untilMs);
  days.play(untilMs, runsAt(phantom, 0.25), 0.25);
  expect(days.raised).toEqual([]);
});

test('the words say dry, and with how many amperes, before they say what to do', () => {
  const days = new PumpDays();
  days.play(START_MS + DAY_MS, runsAt(every(6 * HOUR_MS, START_MS + HOUR_MS, START_MS + DAY_MS)));
  const startMs = days.nowMs + MINUTE_MS;
  const dry = { startMs, lastsMs: 2 * MINUTE_MS, amps: 3.8 };
  const longDry = { ...dry, goesOn: { ...dry, goesOn: dry } };
  days.play(startMs + MINUTE_MS, [{ startMs, lastsMs: 40_000, amps: 6, goesOn: longDry }]);
  const alert = days.watch.openAlerts().find((own) => own.rule === 'bilge-pump-long-run');
  expect(alert?.title).toMatch(/^Bilge pump has run for \d min without a pause, probably dry$/);
  expect(alert?.means).toContain('It draws 3.8 A where 6.0 A is usual');
  expect(alert?.cautions.length).toBeGreaterThan(0);
});
