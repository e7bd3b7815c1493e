/** The statistics against worked examples of textbooks, and against chance. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { correlate, median } from '../../../../rules/panel/evidence/correlation.ts';
import { gaussian } from './series.ts';

const SEED = 20251;

describe('Pearson and Fisher', () => {
  test('r of a textbook example: hours 1 to 5 against 2, 4, 5, 4, 5 is 0.775', () => {
    // Sums by hand: Sxy = 6, Sxx = 10, Syy = 6, so r = 6 / sqrt(60) = 0.7746.
    const { r } = correlate([1, 2, 3, 4, 5], [2, 4, 5, 4, 5], { noise: 100 });
    expect(r).toBeCloseTo(0.7746, 4);
  });

  test('z of 0.5 is 0.549 and its error at 28 independent pairs 0.2 (tables of Fisher’s z)', () => {
    expect(Math.atanh(0.5)).toBeCloseTo(0.549, 3);
    const next = gaussian(SEED);
    const first = Array.from({ length: 28 }, next);
    const { r, z, standardError } = correlate(first, Array.from({ length: 28 }, next));
    expect(z).toBeCloseTo(Math.atanh(r), 10);
    expect(standardError).toBeGreaterThanOrEqual(0.2 - 1e-9);
  });

  test('alike is sure, one to one; opposite is as sure the other way', () => {
    const next = gaussian(SEED);
    const row = Array.from({ length: 30 }, next);
    const same = correlate(row, row);
    expect(same.r).toBeCloseTo(1, 10);
    expect(same.sizeRatio).toBeCloseTo(1, 10);
    expect(
      correlate(
        row,
        row.map((own) => -own),
      ).r,
    ).toBeCloseTo(-1, 10);
  });

  test.each([
    ['too few', [1, 2, 1], [1, 2, 1]],
    ['one that stands still', [1, 2, 1, 3, 2, 1], [0, 0, 0, 0, 0, 0]],
  ])('nothing is known of %s', (_, first, second) => {
    expect(correlate(first, second).standardError).toBe(Infinity);
  });

  test('one coincidence of two large steps proves nothing', () => {
    const next = gaussian(SEED);
    const rows = [0, 1].map(() => Array.from({ length: 40 }, next));
    for (const row of rows) row[7] = 400;
    const { r } = correlate(rows[0] ?? [], rows[1] ?? []);
    expect(r).toBeLessThan(0.5);
  });

  test('z of independent rows of noise keeps within its error as a normal deviate does', () => {
    // 1.96 errors hold 95 % of normal deviates; differences of noise resemble themselves (-0.5).
    let beyond = 0;
    for (let at = 0; at < 2000; at += 1) {
      const next = gaussian(SEED + at);
      const row = (): number[] => {
        const noise = Array.from({ length: 41 }, next);
        return noise.slice(1).map((own, i) => own - (noise[i] ?? 0));
      };
      const { z, standardError } = correlate(row(), row());
      if (Math.abs(z) > 1.96 * standardError) beyond += 1;
    }
    expect(beyond / 2000).toBeLessThan(0.065);
    expect(beyond / 2000).toBeGreaterThan(0.02);
  });
});

test('the median of any values has no more than half of them on either side', () => {
  fc.assert(
    fc.property(
      fc.array(fc.double({ min: -1e6, max: 1e6, noNaN: true }), { minLength: 1 }),
      (own) => {
        const middle = median(own);
        expect(own.filter((value) => value < middle).length * 2).toBeLessThanOrEqual(own.length);
        expect(own.filter((value) => value > middle).length * 2).toBeLessThanOrEqual(own.length);
      },
    ),
    { seed: SEED },
  );
});
