import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Bucket } from '../../daemon/api/contract.ts';
import {
  byPart,
  gapsOf,
  isAlone,
  isGap,
  rowsFrom,
  statsOf,
  traceFrom,
  withReading,
} from '../../dashboard/models/traces.ts';

const bucket = (atMs: number, min = 1, max = 3, mean = 2, count = 4): Bucket => [
  atMs,
  min,
  max,
  mean,
  count,
  1,
];
const everySecond = { bucketMs: 1000, expectedEveryMs: 100 };
const span = { fromMs: 0, toMs: 10_000 };

describe('what a gap is', () => {
  test('neighbouring buckets never have one', () => {
    expect(isGap(0, 1000, everySecond)).toBe(false);
  });

  test('one missing bucket is one, where the sensor speaks often enough', () => {
    expect(isGap(0, 2000, everySecond)).toBe(true);
  });

  test('a slow sensor is not silent between two of its own readings', () => {
    const slow = { bucketMs: 1000, expectedEveryMs: 10_000 };
    expect(isGap(0, 10_000, slow)).toBe(false);
    expect(isGap(0, 30_000, slow)).toBe(false);
    expect(isGap(0, 31_000, slow)).toBe(true);
  });
});

describe('lines', () => {
  const series = { pointId: 'p', unit: 'A', buckets: [bucket(0), bucket(1000), bucket(6000)] };
  const trace = traceFrom(series, span, everySecond);

  test('break at a gap with a place that has no value: nothing bridges it', () => {
    expect(trace.mean).toEqual([
      { x: 500, y: 2 },
      { x: 1500, y: 2 },
      { x: 4000, y: null },
      { x: 6500, y: 2 },
    ]);
    expect(trace.min.map(({ y }) => y)).toEqual([1, 1, null, 1]);
    expect(trace.max.map(({ y }) => y)).toEqual([3, 3, null, 3]);
  });

  test('name the gaps in the middle and at the ends of the span', () => {
    expect(trace.gaps).toEqual([
      { fromMs: 2000, toMs: 6000 },
      { fromMs: 7000, toMs: 10_000 },
    ]);
    expect(gapsOf([], span, everySecond)).toEqual([span]);
  });

  test('are scaled to the unit shown', () => {
    const scaled = traceFrom(
      { ...series, buckets: [bucket(0, 0.1, 0.3, 0.2)] },
      span,
      everySecond,
      100,
    );
    expect(scaled.max[0]?.y).toBeCloseTo(30);
  });

  test('show a lone spot, through which no line goes', () => {
    expect(trace.mean.map((_, index) => isAlone(trace.mean, index))).toEqual([
      false,
      false,
      false,
      true,
    ]);
  });

  test('hold every bucket once and break exactly at the gaps, whatever the buckets are', () => {
    const starts = fc.uniqueArray(fc.integer({ min: 0, max: 200 }), { maxLength: 80 });
    fc.assert(
      fc.property(starts, fc.integer({ min: 1, max: 60 }), (numbers, expectedSeconds) => {
        const buckets = numbers.sort((a, b) => a - b).map((n) => bucket(n * 1000));
        const rhythm = { bucketMs: 1000, expectedEveryMs: expectedSeconds * 1000 };
        const drawn = traceFrom(
          { pointId: 'p', unit: 'A', buckets },
          { fromMs: 0, toMs: 201_000 },
          rhythm,
        );
        const breaks = drawn.mean.filter(({ y }) => y === null).length;
        expect(drawn.mean.length - breaks).toBe(buckets.length);
        const inner = drawn.gaps.filter(
          ({ fromMs, toMs }) => fromMs > (buckets[0]?.[0] ?? 0) && toMs < 201_000,
        );
        expect(breaks).toBe(inner.length);
        expect(drawn.mean.map(({ x }) => x)).toEqual(
          drawn.mean.map(({ x }) => x).sort((a, b) => a - b),
        );
        expect(drawn.mean.some(({ y }) => y === 0)).toBe(false);
      }),
    );
  });
});

describe('the live tail', () => {
  const buckets = [bucket(0), bucket(1000, 1, 3, 2, 4)];

  test('joins the last bucket and keeps its extremes', () => {
    expect(withReading(buckets, { atMs: 1900, value: 7 }, 0, 1000).at(-1)).toEqual([
      1000, 1, 7, 3, 5, 1,
    ]);
  });

  test('starts a new bucket on the grid of the answer', () => {
    expect(withReading(buckets, { atMs: 4321, value: 7 }, 0, 1000).at(-1)).toEqual([
      4000, 7, 7, 7, 1, 1,
    ]);
  });

  test('leaves out what is older than the last bucket', () => {
    expect(withReading(buckets, { atMs: 500, value: 7 }, 0, 1000)).toEqual(buckets);
  });
});

describe('figures', () => {
  test('the mean counts readings, not buckets', () => {
    expect(statsOf([bucket(0, 1, 1, 1, 1), bucket(1000, 5, 9, 7, 3)])).toEqual({
      min: 1,
      max: 9,
      mean: 5.5,
    });
    expect(statsOf([])).toBeNull();
  });

  test('a table has a row for a time without readings, and says where a part is missing', () => {
    const buckets = [bucket(0), bucket(1000), bucket(2000), bucket(9000)];
    const gaps = gapsOf(buckets, span, everySecond);
    const rows = rowsFrom([{ buckets, gaps }], span, [0, 2000, 4000, 6000, 8000, 10_000]);
    expect(rows.map(({ fromMs, toMs }) => [fromMs, toMs])).toEqual([
      [0, 2000],
      [2000, 4000],
      [4000, 6000],
      [6000, 8000],
      [8000, 10_000],
    ]);
    expect(rows.map(({ cells: [cell] }) => cell?.isPartial ?? null)).toEqual([
      false,
      true,
      null,
      null,
      true,
    ]);
  });
});

test('points stand by part, in the order in which the parts appear', () => {
  const point = (id: string, of: string) => ({
    id,
    of,
    label: id,
    leg: null,
    quantity: 'amps' as const,
    unit: 'A',
    expectedEveryMs: 1000,
  });
  const groups = byPart([point('b1', 'b'), point('a1', 'a'), point('b2', 'b')]);
  expect([...groups].map(([of, points]) => [of, points.map(({ id }) => id)])).toEqual([
    ['b', ['b1', 'b2']],
    ['a', ['a1']],
  ]);
});
