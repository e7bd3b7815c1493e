import Database from 'better-sqlite3';
import fc from 'fast-check';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { StoredReading, TierMs } from '../../../../daemon/store/history/history.ts';
import { HISTORY_MIGRATIONS, migrate } from '../../../../daemon/store/migrations.ts';
import { START_MS, temporaryFolder } from '../fixtures.ts';
import { DAY_MS, HOUR_MS, inOrder, openedEngine, readingsOf } from './engine-fixture.ts';

const POINTS = ['a', 'b'];

const reading = fc.record({
  pointId: fc.constantFrom(...POINTS),
  // Three hours, many at the same instants, in any order.
  atMs: fc.integer({ min: 0, max: 3 * 360 }).map((step) => START_MS + step * 10_000),
  value: fc.oneof(
    { weight: 9, arbitrary: fc.integer({ min: -500, max: 500 }).map((each) => each / 100) },
    { weight: 1, arbitrary: fc.constantFrom('open', 'closed') },
  ),
});
const step = fc.oneof(
  { weight: 6, arbitrary: fc.array(reading, { maxLength: 40 }) },
  { weight: 2, arbitrary: fc.constantFrom('flush', 'upkeep', 'all', 'restart') },
);

/** Count, least, greatest and newest number of each full width, the obvious way. */
function naiveRows(readings: readonly StoredReading[], tierMs: number): number[][] {
  const rows = new Map<number, number[]>();
  for (const { atMs, value } of readings) {
    if (typeof value !== 'number') continue;
    const startMs = Math.floor(atMs / tierMs) * tierMs;
    rows.set(startMs, [...(rows.get(startMs) ?? []), value]);
  }
  return [...rows].map(([startMs, values]) => [
    startMs,
    values.length,
    Math.min(...values),
    Math.max(...values),
    values.at(-1) ?? 0,
  ]);
}

describe('the history', () => {
  it('gives back every reading once, and the same rollups, whatever was written when', async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(step, { maxLength: 12 }), async (steps) => {
        let opened = openedEngine();
        const told: StoredReading[] = [];
        for (const each of steps) {
          const { engine, clock, folder } = opened;
          if (typeof each !== 'string') {
            for (const one of each) engine.add(one, true);
            told.push(...each);
            continue;
          }
          engine.flush(0);
          clock.advanceTo(clock.nowMs() + HOUR_MS);
          if (each === 'upkeep' || each === 'all') await engine.upkeep(each === 'all');
          if (each !== 'restart') continue;
          engine.close();
          opened = openedEngine({}, folder, clock);
        }
        const { engine, problems } = opened;
        const expected = inOrder(told, POINTS);
        expect(await readingsOf(engine, POINTS)).toEqual(expected);
        for (const tierMs of [60_000, 900_000, 3_600_000, 86_400_000] satisfies TierMs[]) {
          const span = { fromMs: START_MS - DAY_MS, toMs: START_MS + DAY_MS };
          const series = await engine.reader.rollups({ points: POINTS, ...span, tierMs });
          for (const { pointId, buckets } of series) {
            const own = expected.filter((one) => one.pointId === pointId);
            const rows = buckets
              .filter(({ count }) => count > 0)
              .map(({ atMs, count, min, max, last }) => [atMs, count, min, max, last]);
            expect(rows).toEqual(naiveRows(own, tierMs));
          }
        }
        expect(problems).toEqual([]);
        engine.close();
      }),
      { numRuns: 40 },
    );
  });

  it('has the same minutes however late a reading came', async () => {
    const punctual = openedEngine();
    const late = openedEngine();
    const readings = Array.from({ length: 3 * 720 }, (_, at) => ({
      pointId: 'a',
      atMs: START_MS + at * 5000,
      value: Math.round(1000 * Math.sin(at / 50)) / 100,
    }));
    for (const one of readings) punctual.engine.add(one, true);
    const isLate = (at: number): boolean => at % 7 === 3 || (at > 700 && at < 730);
    for (const [at, one] of readings.entries()) if (!isLate(at)) late.engine.add(one, true);
    for (const { engine, clock } of [punctual, late]) {
      engine.flush(0);
      clock.advanceTo(START_MS + 2 * DAY_MS);
      await engine.upkeep();
    }
    for (const [at, one] of readings.entries()) if (isLate(at)) late.engine.add(one, true);
    late.engine.flush(0);
    await late.engine.upkeep();
    const query = { points: ['a'], fromMs: START_MS, toMs: START_MS + DAY_MS };
    for (const tierMs of [60_000, 900_000, 3_600_000, 86_400_000] satisfies TierMs[]) {
      const expected = await punctual.engine.reader.rollups({ ...query, tierMs });
      const found = await late.engine.reader.rollups({ ...query, tierMs });
      expect(found[0]?.buckets.length).toBe(expected[0]?.buckets.length);
      for (const [at, row] of (found[0]?.buckets ?? []).entries()) {
        const other = expected[0]?.buckets[at];
        const { mean, integral, ...exact } = row;
        expect(other).toMatchObject(exact);
        expect(mean).toBeCloseTo(other?.mean ?? Number.NaN, 9);
        // A millionth of the largest area is the last digit that is kept.
        expect(Math.abs(integral - (other?.integral ?? Number.NaN))).toBeLessThan(0.02);
      }
    }
  });

  it('knows the area under a load and how much of the time it knew it', async () => {
    const { engine, clock } = openedEngine();
    // 600 W for an hour with ten minutes of silence: 50 min x 60 s x 600 W, less one step of 2 s.
    for (let at = 0; at < HOUR_MS; at += 2000) {
      if (at > 20 * 60_000 && at < 30 * 60_000) continue;
      engine.add({ pointId: 'watts', atMs: START_MS + at, value: 600 }, true);
    }
    clock.advanceTo(START_MS + 3 * DAY_MS);
    engine.flush(0);
    await engine.upkeep();
    for (const tierMs of [60_000, 3_600_000, 86_400_000] satisfies TierMs[]) {
      const query = {
        points: ['watts'],
        fromMs: START_MS - DAY_MS,
        toMs: START_MS + DAY_MS,
        tierMs,
      };
      const [series] = await engine.reader.rollups(query);
      const rows = series?.buckets ?? [];
      const sum = (pick: (row: (typeof rows)[number]) => number): number =>
        rows.reduce((total, row) => total + pick(row), 0);
      expect(sum((row) => row.coveredMs)).toBe(50 * 60_000 - 2000);
      expect(sum((row) => row.integral)).toBeCloseTo(600 * (50 * 60 - 2), 3);
    }
    const { series } = await engine.reader.buckets({
      points: ['watts'],
      fromMs: START_MS,
      toMs: START_MS + HOUR_MS,
      buckets: 60,
    });
    // The gap stays a gap.
    expect(series[0]?.buckets.length).toBe(51);
    expect(await engine.reader.info()).toMatchObject({
      readings: 1501,
      coverage: expect.any(Number),
    });
  });
});

describe('readings of the first version', () => {
  it('answer at once, become chunks bit by bit, and none is lost when that is cut short', async () => {
    const folder = temporaryFolder();
    const db = new Database(join(folder, 'history.db'));
    migrate(db, HISTORY_MIGRATIONS.slice(0, 1));
    db.exec("INSERT INTO point VALUES (1, 'a'), (2, 'b')");
    const insert = db.prepare('INSERT INTO reading (at_ms, point, value) VALUES (?, ?, ?)');
    const told: StoredReading[] = [];
    db.transaction(() => {
      for (let at = 0; at < 15_000; at += 1) {
        for (const [place, pointId] of POINTS.entries()) {
          const value = at % 500 === 7 ? 'open' : at / 10 + place;
          insert.run(START_MS + at * 500, place + 1, value);
          told.push({ pointId, atMs: START_MS + at * 500, value });
        }
      }
    })();
    db.close();
    const expected = inOrder(told, POINTS);
    const first = openedEngine({}, folder);
    expect(await readingsOf(first.engine, POINTS)).toEqual(expected);
    first.clock.advanceTo(START_MS + 4 * HOUR_MS);
    const work = first.engine.upkeep();
    // After the first slice or two it is closed in the middle of it.
    const look = new Database(join(folder, 'history.db'), { readonly: true });
    const left = look.prepare<[], number>('SELECT count(*) FROM reading').pluck();
    while (left.get() === 30_000) await new Promise((resolve) => setImmediate(resolve));
    look.close();
    first.engine.close();
    await work;
    const second = openedEngine({}, folder, first.clock);
    const half = await second.engine.reader.info();
    expect(half.oldRows).toBeGreaterThan(0);
    expect(await readingsOf(second.engine, POINTS)).toEqual(expected);
    await second.engine.upkeep();
    expect(await second.engine.reader.info()).toMatchObject({ oldRows: 0, readings: 30_000 });
    expect(await readingsOf(second.engine, POINTS)).toEqual(expected);
  });
});

describe('what the disk has changed', () => {
  it('in one chunk costs that chunk alone, and is counted', async () => {
    const { engine, clock, folder } = openedEngine();
    for (const pointId of POINTS) {
      for (let at = 0; at < 7200; at += 1) {
        engine.add({ pointId, atMs: START_MS + at * 1000, value: at % 60 }, true);
      }
    }
    clock.advanceTo(START_MS + 3 * HOUR_MS);
    engine.flush(0);
    await engine.upkeep();
    const db = new Database(join(folder, 'history.db'));
    db.exec(
      `UPDATE chunk SET packed = CAST(substr(packed, 1, 9) || x'55' || substr(packed, 11) AS BLOB)
       WHERE key = (SELECT min(key) FROM chunk)`,
    );
    db.close();
    expect(await readingsOf(engine, ['a'])).toHaveLength(3600);
    expect(await readingsOf(engine, ['b'])).toHaveLength(7200);
    expect(engine.damagedChunks).toBe(1);
    const query = { points: ['a'], fromMs: START_MS, toMs: START_MS + 2 * HOUR_MS };
    const [minutes] = await engine.reader.rollups({ ...query, tierMs: 60_000 });
    expect(minutes?.buckets).toHaveLength(120);
  });

  it('in one frame of the journal costs that frame alone, and is said', async () => {
    const first = openedEngine();
    for (let at = 0; at < 10; at += 1) {
      first.engine.add({ pointId: 'a', atMs: START_MS + at * 1000, value: at }, true);
      first.engine.flush(0);
    }
    first.engine.close();
    const path = join(first.folder, 'history.journal-2');
    const bytes = readFileSync(path);
    // The first page completes the change of files; the others hold a reading each.
    bytes[5 * 4096 + 30] = (bytes[5 * 4096 + 30] ?? 0) ^ 1;
    writeFileSync(path, bytes);
    const second = openedEngine({}, first.folder);
    const found = await readingsOf(second.engine, ['a']);
    expect(found.map(({ value }) => value)).toEqual([0, 1, 2, 3, 5, 6, 7, 8, 9]);
    expect(second.problems).toEqual([
      '1 pieces of the journal of readings, some ten seconds each, could not be read.',
    ]);
  });
});

describe('keeping', () => {
  const retention = { ageMs: 2 * DAY_MS, bytes: 2 ** 40 };

  /** Four days of a reading every ten seconds. */
  async function fourDays(change: Parameters<typeof openedEngine>[0]) {
    const opened = openedEngine(change);
    const { engine, clock } = opened;
    for (let at = 0; at < 4 * DAY_MS; at += 10_000) {
      engine.add({ pointId: 'a', atMs: START_MS + at, value: at / 10_000 }, true);
    }
    clock.advanceTo(START_MS + 4 * DAY_MS);
    engine.flush(0);
    await engine.upkeep();
    return opened;
  }

  it('deletes what is older than its age but never a clip, and keeps the rollups', async () => {
    const atMs = START_MS + DAY_MS + 12 * 60_000;
    const { engine } = await fourDays({ retention, happenings: () => [{ atMs, about: 'alert' }] });
    const found = await readingsOf(engine, ['a'], 0, START_MS + 2 * DAY_MS - HOUR_MS);
    expect(found.map((one) => (one.atMs - atMs) / 1000)).toEqual(
      Array.from({ length: 18 }, (_, index) => index * 10 - 60),
    );
    const query = { points: ['a'], fromMs: START_MS, toMs: START_MS + DAY_MS };
    const [minutes] = await engine.reader.rollups({ ...query, tierMs: 60_000 });
    expect(minutes?.buckets).toHaveLength(1440);
    // A chart of the clip is single readings; one of what was deleted is minutes.
    const chart = { points: ['a'], fromMs: atMs - 60_000, toMs: atMs + 120_000, buckets: 1000 };
    expect((await engine.reader.buckets(chart)).tierMs).toBe(0);
    const wider = { ...chart, toMs: atMs + 240_000 };
    expect((await engine.reader.buckets(wider)).tierMs).toBe(60_000);
    expect(engine.reader.clips({ fromMs: 0, toMs: atMs, limit: 9 })).toEqual([
      { fromMs: atMs - 60_000, toMs: atMs + 120_000, atMs, about: 'alert' },
    ]);
    const { prunedBeforeMs, readings, readingsPruned } = await engine.reader.info();
    expect(prunedBeforeMs).toBe(START_MS + 2 * DAY_MS);
    expect(readings + readingsPruned).toBe(4 * 8640);
  });

  it('deletes nothing by age while nobody vouches for the clock', async () => {
    const { engine } = await fourDays({ retention, isWallClockTrusted: () => false });
    expect((await engine.reader.info()).readingsPruned).toBe(0);
  });

  it('deletes the oldest when there is too much, but never the last day', async () => {
    const { engine } = await fourDays({ retention: { ageMs: Infinity, bytes: 0 } });
    const { prunedBeforeMs } = await engine.reader.info();
    expect(prunedBeforeMs).toBe(START_MS + 3 * DAY_MS);
  });
});
