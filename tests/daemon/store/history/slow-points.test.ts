/** What is known of a point that speaks less often than once a minute. */
import { describe, expect, it } from 'vitest';
import { START_MS } from '../fixtures.ts';
import { HOUR_MS, openedEngine } from './engine-fixture.ts';

const MINUTE_MS = 60_000;
/** A full hour. */
const FIRST_MS = Math.ceil(START_MS / HOUR_MS) * HOUR_MS;
const EVERY_MS: Readonly<Record<string, number>> = { tank: 10 * MINUTE_MS, clamp: 1000 };

function engine() {
  const own = openedEngine({ expectedEveryMs: (id) => EVERY_MS[id] });
  /** `pointId` says `value` at so many minutes after the first hour. */
  const say = (pointId: string, minutes: number, value = 5): void => {
    own.engine.add({ pointId, atMs: FIRST_MS + minutes * MINUTE_MS, value }, true);
  };
  const coverage = async (pointId: string, fromMin: number, toMin: number, buckets = 1) => {
    const { series } = await own.engine.reader.buckets({
      points: [pointId],
      fromMs: FIRST_MS + fromMin * MINUTE_MS,
      toMs: FIRST_MS + toMin * MINUTE_MS,
      buckets,
    });
    const known = series[0]?.buckets.reduce((sum, { coveredMs }) => sum + coveredMs, 0) ?? 0;
    return known / ((toMin - fromMin) * MINUTE_MS);
  };
  return { ...own, say, coverage };
}

describe('a tank sensor that speaks every ten minutes', () => {
  it.each(['waiting', 'in chunks'])('is known all the time (%s)', async (where) => {
    const { engine: own, clock, say, coverage } = engine();
    for (let minute = 5; minute <= 305; minute += 10) {
      say('tank', minute, minute);
      own.flush(0);
      clock.advanceTo(FIRST_MS + minute * MINUTE_MS);
      if (where === 'in chunks') await own.upkeep();
    }
    if (where === 'in chunks') await own.upkeep(true);
    expect(await coverage('tank', 60, 240)).toBe(1);
    expect(await coverage('tank', 60, 240, 36)).toBeCloseTo(1, 9);
    expect(await coverage('tank', 61, 62)).toBe(1);
    const [row] = await own.reader.rollups({
      points: ['tank'],
      fromMs: FIRST_MS + HOUR_MS,
      toMs: FIRST_MS + 2 * HOUR_MS,
      tierMs: HOUR_MS,
    });
    // It rises by 1 a minute: 60 at the start of that hour, 120 at its end.
    expect(row?.buckets[0]?.coveredMs).toBe(HOUR_MS);
    expect((row?.buckets[0]?.integral ?? 0) / 3600).toBeCloseTo(90, 2);
  });

  it('has a gap where it missed more than two turns', async () => {
    const { say, coverage } = engine();
    for (const minute of [0, 10, 40, 50, 81, 90, 100, 110, 120]) say('tank', minute);
    expect(await coverage('tank', 0, 50, 2000)).toBeCloseTo(1, 9);
    expect(await coverage('tank', 50, 81, 2000)).toBe(0);
    expect(await coverage('tank', 81, 120, 2000)).toBeCloseTo(1, 9);
  });
});

it('a clamp of every second that says little is not known in between', async () => {
  const { say, coverage } = engine();
  for (const minute of [0, 10, 20, 30]) say('clamp', minute);
  expect(await coverage('clamp', 0, 30)).toBe(0);
});
