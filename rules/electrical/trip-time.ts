/**
 * When a panel breaker will trip, as a range. The standards leave a wide band, so a breaker is
 * followed by two thermal replicas: the quickest and the slowest that the band reasonably allows.
 *
 * The slow replica is derived from the standard's longest times. The quick one keeps the standard's
 * `must hold`; how quick it is beyond that is our choice, inside the standard where that has a
 * lower limit (IEC 60898-1) and common practice where it has none (UL 489). No ambient temperature:
 * a hot panel trips earlier.
 */
import type { Breaker } from '../boat/boat.ts';
import { tripPromise } from './breakers.ts';
import { isPositive } from './numbers.ts';
import { secondsToTrip, warmthAfter, type ThermalReplica } from './thermal-memory.ts';

/** Warmth of the quick and of the slow replica; start with `COLD_BREAKER`. Plain JSON, to be saved. */
export interface BreakerWarmth {
  quick: number;
  slow: number;
}

export interface TripRange {
  earliestSeconds: number | 'never';
  latestSeconds: number | 'never';
}

export const COLD_BREAKER: BreakerWarmth = { quick: 0, slow: 0 };

/** Multiples of the rating; `slowTestRatio` is where the standard's longest short time is tested. */
const BANDS = {
  ul: { quickPickup: 1.05, quickTau: 60, slowPickup: 1.3, slowTestRatio: 2 },
  iec: { quickPickup: 1.14, quickTau: 30, slowPickup: 1.4, slowTestRatio: 2.55 },
};

/** From this multiple of the rating on the magnetic release may act at once. UL 489: common practice. */
const MAGNETIC_FROM = { 'UL 489': 5, 'IEC B': 3, 'IEC C': 5, 'IEC D': 10 } as const;

/** The two replicas of a breaker. Null for a fuse and for a rating not above 0. */
export function replicasOf(
  breaker: Breaker,
): { quick: ThermalReplica; slow: ThermalReplica } | null {
  const { ampsRated, kind } = breaker;
  if (kind === 'fuse' || !isPositive(ampsRated)) return null;
  const band = kind === 'UL 489' ? BANDS.ul : BANDS.iec;
  const promise = tripPromise(breaker, band.slowTestRatio * ampsRated);
  if (promise?.verdict !== 'must trip') return null;
  // The slow replica trips just when the standard's test would end.
  const square = band.slowTestRatio ** 2;
  const slowTau = promise.withinSeconds / Math.log(square / (square - band.slowPickup ** 2));
  return {
    quick: { pickupAmps: band.quickPickup * ampsRated, tauSeconds: band.quickTau },
    slow: { pickupAmps: band.slowPickup * ampsRated, tauSeconds: slowTau },
  };
}

/**
 * Warmth after `amps` (0 and up) has flowed steadily for `seconds` (0 and up). A tripped breaker
 * carries nothing, so warmth above 1 means that the breaker is slower than the replica. Null for a
 * fuse and on bad input.
 */
export function breakerWarmthAfter(
  warmth: BreakerWarmth,
  amps: number,
  seconds: number,
  breaker: Breaker,
): BreakerWarmth | null {
  const replicas = replicasOf(breaker);
  if (replicas === null) return null;
  const quick = warmthAfter(warmth.quick, amps, seconds, replicas.quick);
  const slow = warmthAfter(warmth.slow, amps, seconds, replicas.slow);
  return quick === null || slow === null ? null : { quick, slow };
}

/**
 * Earliest and latest time in seconds until the breaker trips if `amps` flows on. Null for a fuse
 * and on bad input.
 */
export function tripRange(warmth: BreakerWarmth, amps: number, breaker: Breaker): TripRange | null {
  const replicas = replicasOf(breaker);
  const promise = tripPromise(breaker, amps);
  if (replicas === null || promise === null || breaker.kind === 'fuse') return null;
  const quick = secondsToTrip(warmth.quick, amps, replicas.quick);
  const slow = secondsToTrip(warmth.slow, amps, replicas.slow);
  if (quick === null || slow === null) return null;
  const isMagnetic = amps >= MAGNETIC_FROM[breaker.kind] * breaker.ampsRated;
  const limit = promise.verdict === 'must trip' ? promise.withinSeconds : 'never';
  return {
    earliestSeconds: isMagnetic ? 0 : sooner(quick, slow),
    latestSeconds: sooner(later(quick, slow), limit),
  };
}

// The quick replica cools faster too, so after a rest the slow one can be the first to trip.
function sooner(a: number | 'never', b: number | 'never'): number | 'never' {
  if (a === 'never') return b;
  return b === 'never' ? a : Math.min(a, b);
}

function later(a: number | 'never', b: number | 'never'): number | 'never' {
  return a === 'never' || b === 'never' ? 'never' : Math.max(a, b);
}
