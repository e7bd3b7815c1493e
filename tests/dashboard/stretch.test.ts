import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  around,
  between,
  instantAt,
  lengthOf,
  LONGEST_MS,
  panned,
  shareAt,
  SHORTEST_MS,
  untilNow,
  zoomed,
} from '../../dashboard/models/stretch.ts';

const hour = { fromMs: 3_600_000, toMs: 7_200_000 };

describe('moving over a chart', () => {
  test('a quarter later keeps the length', () => {
    expect(panned(hour, 0.25)).toEqual({ fromMs: 4_500_000, toMs: 8_100_000 });
    expect(panned(hour, -1)).toEqual({ fromMs: 0, toMs: 3_600_000 });
    expect(panned(hour, -9)).toEqual({ fromMs: 0, toMs: 3_600_000 });
  });

  test('zooming keeps the instant under the finger where it is', () => {
    const stretches = fc
      .tuple(fc.integer({ min: 1e12, max: 2e12 }), fc.integer({ min: 60_000, max: 3e10 }))
      .map(([fromMs, lengthMs]) => ({ fromMs, toMs: fromMs + lengthMs }));
    fc.assert(
      fc.property(
        stretches,
        fc.double({ min: 0.2, max: 4, noNaN: true }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        (stretch, factor, share) => {
          const atMs = instantAt(stretch, share);
          const after = zoomed(stretch, factor, atMs);
          expect(shareAt(after, atMs)).toBeCloseTo(share, 3);
          expect(lengthOf(after)).toBeGreaterThanOrEqual(SHORTEST_MS - 1);
        },
      ),
    );
  });

  test('zooming ends at what can still be drawn', () => {
    expect(lengthOf(zoomed(hour, 1e-9))).toBe(SHORTEST_MS);
    expect(lengthOf(zoomed(hour, 1e9))).toBe(LONGEST_MS);
    expect(zoomed({ fromMs: 0, toMs: 10_000_000 }, 2).fromMs).toBe(0);
  });

  test('a brush drawn backwards is the same, and one that is a mere click is widened', () => {
    expect(between(9e6, 4e6)).toEqual({ fromMs: 4e6, toMs: 9e6 });
    expect(between(5e6, 5e6)).toEqual(around(5e6, SHORTEST_MS));
  });

  test('nothing reaches into the future', () => {
    expect(untilNow(hour, 9e6)).toEqual(hour);
    expect(untilNow(hour, 5_400_000)).toEqual({ fromMs: 1_800_000, toMs: 5_400_000 });
    expect(untilNow({ fromMs: 1000, toMs: 9000 }, 3000)).toEqual({ fromMs: 0, toMs: 8000 });
  });

  test('places beyond the edge count as the edge', () => {
    expect([instantAt(hour, -3), instantAt(hour, 2)]).toEqual([hour.fromMs, hour.toMs]);
  });
});
