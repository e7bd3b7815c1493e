import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Breaker, BreakerKind } from '../../../rules/boat/boat.ts';
import {
  breakerAmpsMax,
  breakerAmpsNeeded,
  continuousAmpsMax,
  continuousRatioOf,
  standardAmps,
  tripPromise,
} from '../../../rules/electrical/index.ts';
import { amount } from './amounts.ts';

const verdict = (breaker: Breaker, ratio: number) =>
  tripPromise(breaker, ratio * breaker.ampsRated)?.verdict;
const within = (breaker: Breaker, ratio: number) => {
  const promise = tripPromise(breaker, ratio * breaker.ampsRated);
  return promise?.verdict === 'must trip' ? promise.withinSeconds : null;
};

describe('UL 489 promise', () => {
  const fifteen: Breaker = { ampsRated: 15, kind: 'UL 489' };

  it('changes at 100, 135 and 200 %', () => {
    expect(verdict(fifteen, 0)).toBe('must hold');
    expect(verdict(fifteen, 1)).toBe('must hold');
    expect(verdict(fifteen, 1.001)).toBe('may trip');
    expect(verdict(fifteen, 1.349)).toBe('may trip');
    expect(within(fifteen, 1.35)).toBe(3600);
    expect(within(fifteen, 1.999)).toBe(3600);
    expect(within(fifteen, 2)).toBe(120);
  });

  it.each([
    [30, 3600, 120],
    [31, 3600, 240],
    [50, 3600, 240],
    [51, 7200, 360],
    [100, 7200, 360],
    [101, 7200, 480],
    [150, 7200, 480],
    [151, 7200, 600],
    [225, 7200, 600],
    [226, 7200, 720],
    [400, 7200, 720],
    [401, 7200, 840],
    [600, 7200, 840],
    [601, 7200, 7200],
  ])('of %s A: 135 %% within %s s, 200 %% within %s s', (ampsRated, slow, fast) => {
    expect(within({ ampsRated, kind: 'UL 489' }, 1.35)).toBe(slow);
    expect(within({ ampsRated, kind: 'UL 489' }, 2)).toBe(fast);
  });
});

describe('IEC 60898-1 promise', () => {
  it('changes at 1.13 and 1.45 times the rating', () => {
    const b10: Breaker = { ampsRated: 10, kind: 'IEC B' };
    expect(tripPromise(b10, 11.3)).toEqual({ verdict: 'must hold', forSeconds: 3600 });
    expect(verdict(b10, 1.14)).toBe('may trip');
    expect(verdict(b10, 1.449)).toBe('may trip');
    expect(tripPromise(b10, 14.5)).toMatchObject({ notBeforeSeconds: 1, withinSeconds: 3600 });
  });

  it('gives ratings above 63 A two hours, above 32 A twice the short times', () => {
    const b80: Breaker = { ampsRated: 80, kind: 'IEC B' };
    expect(tripPromise(b80, 80)).toEqual({ verdict: 'must hold', forSeconds: 7200 });
    expect([1.45, 2.55, 3].map((ratio) => within(b80, ratio))).toEqual([7200, 120, 90]);
    const b32: Breaker = { ampsRated: 32, kind: 'IEC B' };
    expect([1.45, 2.55, 3].map((ratio) => within(b32, ratio))).toEqual([3600, 60, 45]);
  });

  it.each([
    ['IEC B', 3, 5, 45],
    ['IEC C', 5, 10, 15],
    ['IEC D', 10, 20, 4],
  ] as const)('of type %s has its magnetic band from %s to %s', (kind, low, high, seconds) => {
    const breaker: Breaker = { ampsRated: 16, kind };
    expect(within(breaker, low - 0.01)).toBe(60);
    expect(tripPromise(breaker, low * 16)).toMatchObject({ notBeforeSeconds: 0.1 });
    expect(tripPromise(breaker, (low + 0.01) * 16)).toMatchObject({ notBeforeSeconds: 0 });
    expect(within(breaker, high - 0.01)).toBe(seconds);
    expect(within(breaker, high)).toBe(0.1);
    // Above 32 A the longest time at the lower end is twice as long.
    expect(within({ ampsRated: 40, kind }, low)).toBe(2 * seconds);
  });
});

describe('any promise', () => {
  const kinds: BreakerKind[] = ['UL 489', 'IEC B', 'IEC C', 'IEC D'];

  it('never gives more time for more current', () => {
    const ratio = amount(0, 25);
    const amps = fc.constantFrom(6, 15, 32, 50, 63, 100, 125);
    fc.assert(
      fc.property(fc.constantFrom(...kinds), amps, ratio, ratio, (kind, ampsRated, one, other) => {
        const [less, more] = [Math.min(one, other), Math.max(one, other)];
        const limit = (at: number) => within({ ampsRated, kind }, at) ?? Infinity;
        expect(limit(more)).toBeLessThanOrEqual(limit(less));
      }),
    );
  });

  it('is not made for a fuse, nor from bad numbers', () => {
    expect(tripPromise({ ampsRated: 10, kind: 'fuse' }, 20)).toBeNull();
    for (const bad of [NaN, Infinity, -1]) {
      expect(tripPromise({ ampsRated: 10, kind: 'UL 489' }, bad)).toBeNull();
      expect(tripPromise({ ampsRated: bad, kind: 'UL 489' }, 10)).toBeNull();
    }
    expect(tripPromise({ ampsRated: 0, kind: 'IEC C' }, 10)).toBeNull();
  });
});

describe('ratings', () => {
  it('ascend', () => {
    for (const kind of ['UL 489', 'IEC C', 'fuse'] as const) {
      const amps = standardAmps(kind);
      expect(amps.length).toBeGreaterThan(5);
      expect(amps.every((value, at) => value > (amps[at - 1] ?? 0))).toBe(true);
    }
    // IEC 60898-1 preferred values, and NEC 240.6(A) from 15 A up; both from memory.
    const iec = '6 8 10 13 16 20 25 32 40 50 63 80 100 125';
    const nec =
      '15 20 25 30 35 40 45 50 60 70 80 90 100 110 125 150 175 200 225 250 300 350 400 450 500 600';
    expect(standardAmps('IEC B').join(' ')).toBe(iec);
    expect(standardAmps('UL 489').join(' ')).toBe(`5 10 ${nec}`);
    expect(standardAmps('fuse').join(' ')).toBe(`1 3 5 6 10 ${nec}`);
  });

  it('may be loaded for long to 80 % in North America, in full by IEC', () => {
    expect(continuousRatioOf('UL 489')).toBe(0.8);
    expect(continuousRatioOf('fuse')).toBe(0.8);
    expect(continuousRatioOf('IEC C')).toBe(1);
    expect(continuousAmpsMax(32, 1)).toBe(32);
  });

  it('protect a wire by the next standard size, if within 150 %', () => {
    expect(breakerAmpsMax(35.7, 120)).toBe(40);
    expect(breakerAmpsMax(35.7, 49)).toBeCloseTo(53.55, 9);
    // The next size above 1.9 A is 5 A, far above 150 %.
    expect(breakerAmpsMax(1.9, 120)).toBe(1.9);
    expect(breakerAmpsMax(18, 230, 'IEC C')).toBe(20);
    expect(breakerAmpsMax(700, 120)).toBe(700);
  });

  it('are not worked out from bad numbers', () => {
    for (const bad of [NaN, Infinity, -1]) {
      expect(continuousAmpsMax(bad)).toBeNull();
      expect(continuousAmpsMax(10, bad)).toBeNull();
      expect(breakerAmpsNeeded(bad, 0)).toBeNull();
      expect(breakerAmpsNeeded(0, bad)).toBeNull();
      expect(breakerAmpsMax(bad, 120)).toBeNull();
      expect(breakerAmpsMax(10, bad)).toBeNull();
    }
    expect(continuousAmpsMax(10, 1.01)).toBeNull();
  });
});
