import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Bucket, HistoryQuery } from '../../../daemon/store/store.ts';
import { openedStore, START_MS } from './fixtures.ts';

interface Told {
  pointId: string;
  atMs: number;
  value: number;
}

/** The same arithmetic the slow and obvious way; of two readings of one instant the first stands. */
function naively(
  told: readonly Told[],
  query: HistoryQuery,
  width = Math.max(1, Math.ceil((query.toMs - query.fromMs) / query.buckets)),
): Map<string, Bucket[]> {
  return new Map(
    query.points.map((pointId) => {
      const first = new Map<number, number>();
      for (const each of told) {
        if (each.pointId === pointId && !first.has(each.atMs)) first.set(each.atMs, each.value);
      }
      const buckets: Bucket[] = [];
      for (let start = query.fromMs; start < query.toMs; start += width) {
        const end = Math.min(start + width, query.toMs);
        const values = [...first].filter(([at]) => at >= start && at < end).map(([, v]) => v);
        if (values.length === 0) continue;
        const sum = values.reduce((total, value) => total + value, 0);
        buckets.push([
          start,
          Math.min(...values),
          Math.max(...values),
          sum / values.length,
          values.length,
          NaN,
        ]);
      }
      return [pointId, buckets];
    }),
  );
}

function expectSame(found: readonly Bucket[], expected: readonly Bucket[]): void {
  const exact = (buckets: readonly Bucket[]): number[][] =>
    buckets.map(([atMs, min, max, , count]) => [atMs, min, max, count]);
  expect(exact(found)).toEqual(exact(expected));
  for (const [index, [, min, max, mean]] of found.entries()) {
    expect(mean).toBeCloseTo(expected[index]?.[3] ?? Number.NaN, 6);
    expect(mean).toBeGreaterThanOrEqual(min);
    expect(mean).toBeLessThanOrEqual(max);
  }
}

const told = fc.record({
  pointId: fc.constantFrom('a', 'b', 'c'),
  atMs: fc.integer({ min: START_MS, max: START_MS + 2000 }),
  value: fc.double({ min: -1e6, max: 1e6, noNaN: true }),
});

describe('history', () => {
  it('has in each bucket what a naive computation finds, on the disk and waiting alike', async () => {
    const { store } = openedStore();
    let run = 0;
    await fc.assert(
      fc.asyncProperty(
        fc.array(told, { maxLength: 60 }),
        fc.array(told, { maxLength: 60 }),
        fc.integer({ min: -100, max: 2100 }),
        fc.integer({ min: 1, max: 2500 }),
        fc.integer({ min: 1, max: 40 }),
        async (written, waiting, from, span, buckets) => {
          // Points of its own for every run: one file serves them all.
          run += 1;
          const own = (reading: Told): Told => ({ ...reading, pointId: reading.pointId + run });
          for (const reading of written) store.addReading(own(reading));
          store.flush();
          for (const reading of waiting) store.addReading(own(reading));
          const query = {
            points: [`a${run}`, `b${run}`, 'never-heard'],
            fromMs: START_MS + from,
            toMs: START_MS + from + span,
            buckets,
          };
          const history = await store.history(query);
          const expected = naively([...written, ...waiting].map(own), query);
          expect(history.series.map(({ pointId }) => pointId)).toEqual(query.points);
          expect(history.bucketMs * buckets).toBeGreaterThanOrEqual(span);
          for (const { pointId, buckets: found } of history.series) {
            expectSame(found, expected.get(pointId) ?? []);
          }
        },
      ),
      { numRuns: 300 },
    );
  });

  it('walks through more readings than one slice holds', async () => {
    const { store } = openedStore();
    const readings: Told[] = [];
    for (let second = 0; second < 9000; second += 1) {
      for (const pointId of ['a', 'b', 'c']) {
        readings.push({ pointId, atMs: START_MS + second * 1000, value: Math.sin(second / 700) });
      }
    }
    for (const reading of readings) store.addReading(reading);
    store.flush();
    const query = {
      points: ['a', 'c'],
      fromMs: START_MS - 5000,
      toMs: START_MS + 9_100_000,
      buckets: 97,
    };
    const { series, fromMs, bucketMs } = await store.history(query);
    // Wide buckets are whole minutes.
    expect([fromMs % 60_000, bucketMs]).toEqual([0, 120_000]);
    expect(query.fromMs - fromMs).toBeLessThan(60_000);
    const expected = naively(readings, { ...query, fromMs }, bucketMs);
    for (const { pointId, buckets } of series) expectSame(buckets, expected.get(pointId) ?? []);
    expect(series[0]?.buckets.reduce((total, [, , , , count]) => total + count, 0)).toBe(9000);
  });

  it('neither doubles nor misses readings that are written while it reads', async () => {
    const { store } = openedStore();
    const total = 24_000;
    for (let index = 0; index < total; index += 1) {
      store.addReading({ pointId: 'a', value: 1, atMs: START_MS + index });
    }
    // Four thousand wait; they reach the disk while the slices before them are read.
    expect(store.health().readingsBuffered).toBe(4000);
    const asked = store.history({
      points: ['a'],
      fromMs: START_MS,
      toMs: START_MS + total,
      buckets: 1,
    });
    store.flush();
    for (let index = 0; index < 500; index += 1) {
      store.addReading({ pointId: 'a', value: 9, atMs: START_MS + total - 1 - index * 3 });
    }
    store.flush();
    const known = (total - 1) / total;
    expect((await asked).series[0]?.buckets).toEqual([[START_MS, 1, 1, 1, total, known]]);
  });

  it('leaves words out of the arithmetic', async () => {
    const { store } = openedStore();
    store.addReading({ pointId: 'a', value: 'closed', atMs: START_MS });
    store.addReading({ pointId: 'a', value: 3, atMs: START_MS + 1 });
    const query = { points: ['a'], fromMs: START_MS, toMs: START_MS + 10, buckets: 1 };
    const expected = [[START_MS, 3, 3, 3, 1, 0]];
    expect((await store.history(query)).series[0]?.buckets).toEqual(expected);
    store.flush();
    expect((await store.history(query)).series[0]?.buckets).toEqual(expected);
  });

  it('has no bucket in a span of no width or of no readings', async () => {
    const { store } = openedStore();
    store.addReading({ pointId: 'a', value: 3, atMs: START_MS });
    const none = { points: ['a'], fromMs: START_MS, toMs: START_MS, buckets: 5 };
    expect((await store.history(none)).series).toEqual([{ pointId: 'a', buckets: [] }]);
    const before = { ...none, fromMs: START_MS - 10 };
    expect((await store.history(before)).series).toEqual([{ pointId: 'a', buckets: [] }]);
  });

  it('stops reading when nobody waits for the answer', async () => {
    const { store } = openedStore();
    for (let index = 0; index < 25_000; index += 1) {
      store.addReading({ pointId: 'a', value: 1, atMs: START_MS + index });
    }
    store.flush();
    const asker = new AbortController();
    const query = { points: ['a'], fromMs: START_MS, toMs: START_MS + 25_000, buckets: 10 };
    const asked = store.history(query, asker.signal);
    asker.abort(new Error('gone'));
    await expect(asked).rejects.toThrow('gone');
    expect((await store.history(query)).series[0]?.buckets).toHaveLength(10);
  });
});
