import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Breaker } from '../../../rules/boat/boat.ts';
import {
  breakerWarmthAfter,
  COLD_BREAKER,
  replicasOf,
  secondsToTrip,
  tripPromise,
  tripRange,
  warmthAfter,
  type BreakerWarmth,
  type TripPromise,
} from '../../../rules/electrical/index.ts';
import { amount } from './amounts.ts';

const anyBreaker: fc.Arbitrary<Breaker> = fc.record({
  kind: fc.constantFrom('UL 489', 'IEC B', 'IEC C', 'IEC D'),
  ampsRated: fc.constantFrom(6, 15, 20, 32, 50, 63, 80, 125, 400, 600),
});
const seconds = (value: number | 'never' | undefined): number =>
  value === 'never' ? Infinity : (value ?? NaN);

// In the magnetic band it may act at once, which is what a lower limit of 0.1 s means.
function noSooner(promise: TripPromise | null): number {
  if (promise?.verdict === 'must hold') return Infinity;
  return promise?.verdict === 'must trip' && promise.notBeforeSeconds >= 1
    ? promise.notBeforeSeconds
    : 0;
}

describe('thermal memory', () => {
  const replica = { pickupAmps: 20, tauSeconds: 250 };

  it('does not care how an interval is split, and never goes below 0', () => {
    const anyStep = [amount(0, 3), amount(0, 200), amount(0, 4000), amount(0, 1)] as const;
    fc.assert(
      fc.property(...anyStep, (warmth, amps, time, share) => {
        const whole = warmthAfter(warmth, amps, time, replica) ?? NaN;
        const half = warmthAfter(warmth, amps, time * share, replica) ?? NaN;
        const split = warmthAfter(half, amps, time * (1 - share), replica) ?? NaN;
        expect(Math.abs(split - whole)).toBeLessThan(1e-9 * (1 + whole));
        expect(whole).toBeGreaterThanOrEqual(0);
      }),
    );
  });

  it('is just at its trip point after the time to trip', () => {
    fc.assert(
      fc.property(amount(0, 0.99), amount(20.1, 300), (warmth, amps) => {
        const left = secondsToTrip(warmth, amps, replica);
        expect(warmthAfter(warmth, amps, Number(left), replica)).toBeCloseTo(1, 9);
      }),
    );
  });

  it('cools by half in tau ln 2', () => {
    expect(warmthAfter(0.8, 0, 250 * Math.LN2, replica)).toBeCloseTo(0.4, 12);
  });

  it('never trips at the pickup current, and at once when it is warm enough', () => {
    expect(secondsToTrip(0, 20, replica)).toBe('never');
    expect(secondsToTrip(1, 0, replica)).toBe(0);
    expect(secondsToTrip(1.2, 30, replica)).toBe(0);
  });

  it.each([NaN, Infinity, -1])('gives null for %s', (bad) => {
    expect(warmthAfter(bad, 1, 1, replica)).toBeNull();
    expect(warmthAfter(0, bad, 1, replica)).toBeNull();
    expect(warmthAfter(0, 1, bad, replica)).toBeNull();
    expect(warmthAfter(0, 1, 1, { pickupAmps: bad, tauSeconds: 1 })).toBeNull();
    expect(secondsToTrip(bad, 1, replica)).toBeNull();
    expect(secondsToTrip(0, bad, replica)).toBeNull();
    expect(secondsToTrip(0, 1, { pickupAmps: 1, tauSeconds: bad })).toBeNull();
  });
});

describe('trip range', () => {
  it('of a cold breaker lies inside what its standard promises', () => {
    fc.assert(
      fc.property(anyBreaker, amount(0, 25), (breaker, ratio) => {
        const amps = ratio * breaker.ampsRated;
        const promise = tripPromise(breaker, amps);
        const range = tripRange(COLD_BREAKER, amps, breaker);
        const earliest = seconds(range?.earliestSeconds);
        const latest = seconds(range?.latestSeconds);
        expect(earliest).toBeLessThanOrEqual(latest);
        expect(earliest).toBeGreaterThanOrEqual(noSooner(promise));
        expect(latest).toBeLessThanOrEqual(
          promise?.verdict === 'must trip' ? promise.withinSeconds : Infinity,
        );
      }),
      { numRuns: 1000 },
    );
  });

  it('has the slow replica end just inside the long times of the standard by itself', () => {
    fc.assert(
      fc.property(anyBreaker, amount(1.35, 3), (breaker, ratio) => {
        const amps = ratio * breaker.ampsRated;
        const promise = tripPromise(breaker, amps);
        const slow = replicasOf(breaker)?.slow;
        if (promise?.verdict !== 'must trip' || slow === undefined) return;
        const left = seconds(secondsToTrip(0, amps, slow) ?? undefined);
        expect(left).toBeLessThanOrEqual(promise.withinSeconds * (1 + 1e-6));
      }),
      { numRuns: 1000 },
    );
  });

  it.each([
    ['UL 489', 20, 2, 120],
    ['UL 489', 100, 2, 360],
    ['IEC C', 16, 2.55, 60],
    ['IEC C', 63, 2.55, 120],
  ] as const)('of the slow %s replica of %s A ends its test at %s in %s s', (...row) => {
    const [kind, ampsRated, ratio, limit] = row;
    const slow = replicasOf({ kind, ampsRated })?.slow ?? { pickupAmps: NaN, tauSeconds: NaN };
    expect(secondsToTrip(0, ratio * ampsRated, slow)).toBeCloseTo(limit, 6);
  });

  it('comes no later when the breaker is warmer', () => {
    const warmth = fc.record({ quick: amount(0, 1), slow: amount(0, 1) });
    fc.assert(
      fc.property(anyBreaker, warmth, amount(0, 1), amount(0, 25), (breaker, cool, more, ratio) => {
        const warm: BreakerWarmth = { quick: cool.quick + more, slow: cool.slow + more };
        const amps = ratio * breaker.ampsRated;
        const first = tripRange(cool, amps, breaker);
        const then = tripRange(warm, amps, breaker);
        expect(seconds(then?.earliestSeconds)).toBeLessThanOrEqual(seconds(first?.earliestSeconds));
        expect(seconds(then?.latestSeconds)).toBeLessThanOrEqual(seconds(first?.latestSeconds));
      }),
    );
  });

  it('of 28 A on a 20 A panel breaker is a minute or more, a few minutes at most', () => {
    const breaker: Breaker = { ampsRated: 20, kind: 'UL 489' };
    const range = tripRange(COLD_BREAKER, 28, breaker);
    expect(seconds(range?.earliestSeconds)).toBeGreaterThan(30);
    expect(seconds(range?.latestSeconds)).toBeLessThan(600);
  });

  it('keeps its order after a rest, when the quick replica has cooled further', () => {
    const breaker: Breaker = { ampsRated: 20, kind: 'UL 489' };
    const hot = breakerWarmthAfter(COLD_BREAKER, 25.8, 3600, breaker) ?? COLD_BREAKER;
    const rested = breakerWarmthAfter(hot, 0, 60, breaker) ?? COLD_BREAKER;
    const range = tripRange(rested, 40, breaker);
    expect(seconds(range?.earliestSeconds)).toBeLessThan(seconds(range?.latestSeconds));
  });

  it('is not given for a fuse or bad numbers', () => {
    const fuse: Breaker = { ampsRated: 10, kind: 'fuse' };
    expect(replicasOf(fuse)).toBeNull();
    expect(tripRange(COLD_BREAKER, 20, fuse)).toBeNull();
    expect(breakerWarmthAfter(COLD_BREAKER, 20, 1, fuse)).toBeNull();
    for (const bad of [NaN, -1, Infinity]) {
      expect(tripRange(COLD_BREAKER, bad, { ampsRated: 10, kind: 'IEC C' })).toBeNull();
      expect(tripRange({ quick: bad, slow: 0 }, 1, { ampsRated: 10, kind: 'IEC C' })).toBeNull();
      expect(replicasOf({ ampsRated: bad, kind: 'IEC C' })).toBeNull();
      expect(breakerWarmthAfter(COLD_BREAKER, bad, 1, { ampsRated: 10, kind: 'IEC C' })).toBeNull();
    }
  });
});
