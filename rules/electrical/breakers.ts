/**
 * What the standards promise about a breaker, and how large it may be. Promises only: between
 * `must hold` and `must trip` a breaker in order may do either, and a hot panel makes it trip
 * earlier. A fuse's time depends on its class and maker, so nothing is promised for it here.
 */
import type { Breaker, BreakerKind } from '../boat/boat.ts';
import { isNotNegative, isPositive } from './numbers.ts';

/**
 * `must hold`: does not trip within `forSeconds` (null: ever).
 * `may trip`: the standard promises nothing at this current.
 * `must trip`: trips no sooner than `notBeforeSeconds` and by `withinSeconds`.
 */
export type TripPromise =
  | { verdict: 'must hold'; forSeconds: number | null }
  | { verdict: 'may trip' }
  | { verdict: 'must trip'; notBeforeSeconds: number; withinSeconds: number };

/** NEC 240.6(A), from memory; 5 and 10 A are common practice on boat panels. */
const NORTH_AMERICAN_AMPS = [
  5, 10, 15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200, 225, 250,
  300, 350, 400, 450, 500, 600,
];

/** IEC 60898-1 5.3.2, preferred values, from memory. */
const IEC_AMPS = [6, 8, 10, 13, 16, 20, 25, 32, 40, 50, 63, 80, 100, 125];

/** NEC 240.6(A) with its extra fuse ratings, from memory; smaller fuses exist in many series. */
const FUSE_AMPS = [1, 3, 5, 6, ...NORTH_AMERICAN_AMPS.filter((amps) => amps >= 10)];

// Ratios are compared with a little grace, so that 1.13 x 16 A is the 18.08 A a person writes.
const ROUNDING = 1e-9;
const isUpTo = (ratio: number, limit: number): boolean => ratio <= limit * (1 + ROUNDING);
const isBelow = (ratio: number, limit: number): boolean => ratio < limit * (1 - ROUNDING);

const HOUR = 3600;

/** Ratings a shop sells, in amperes, ascending. */
export function standardAmps(kind: BreakerKind): readonly number[] {
  if (kind === 'UL 489') return NORTH_AMERICAN_AMPS;
  return kind === 'fuse' ? FUSE_AMPS : IEC_AMPS;
}

/**
 * Share of its rating that a breaker may carry for three hours and more: 0.8 for North American
 * breakers and fuses (NEC 210.20(A), unless listed for 100 %); 1 for IEC breakers.
 */
export function continuousRatioOf(kind: BreakerKind): number {
  return kind === 'UL 489' || kind === 'fuse' ? 0.8 : 1;
}

/** Largest continuous load in amperes; `ratio` (above 0 to 1) as by NEC 210.20(A). Null on bad input. */
export function continuousAmpsMax(ampsRated: number, ratio = 0.8): number | null {
  if (!isPositive(ampsRated) || !(ratio > 0 && ratio <= 1)) return null;
  return ampsRated * ratio;
}

/**
 * Smallest rating in amperes for a load of both sorts: other loads plus 125 % of the continuous
 * one. Null on a negative or non-finite load. Source: NEC 210.20(A).
 */
export function breakerAmpsNeeded(continuousAmps: number, otherAmps: number): number | null {
  const sum = 1.25 * continuousAmps + otherAmps;
  return continuousAmps >= 0 && otherAmps >= 0 && Number.isFinite(sum) ? sum : null;
}

/**
 * Largest rating in amperes of the breaker or fuse that protects a conductor. Below 50 V: 150 % of
 * its ampacity. From 50 V: the ampacity, or the next standard rating above it as long as that stays
 * within 150 %. Null on bad input. Source: 33 CFR 183.455.
 */
export function breakerAmpsMax(
  ampacityAmps: number,
  systemVolts: number,
  kind: BreakerKind = 'UL 489',
): number | null {
  if (!isPositive(ampacityAmps) || !isPositive(systemVolts)) return null;
  const most = ampacityAmps * 1.5;
  if (systemVolts < 50) return most;
  const next = standardAmps(kind).find((amps) => !isBelow(amps, ampacityAmps));
  return next !== undefined && next <= most ? next : ampacityAmps;
}

/**
 * What the standard promises about a breaker that starts cold and carries `amps` (RMS) from now on,
 * steadily, at its calibration temperature. Null for fuses, for a rating not above 0 and for a
 * current below 0 or not finite.
 *
 * Sources: UL 489 (the 200 % times above 30 A and the two hours above 50 A are from memory);
 * IEC 60898-1 table 7 (hours, and the 120 s and type D times are from memory).
 */
export function tripPromise(breaker: Breaker, amps: number): TripPromise | null {
  if (!isPositive(breaker.ampsRated) || !isNotNegative(amps)) return null;
  const ratio = amps / breaker.ampsRated;
  if (breaker.kind === 'fuse') return null;
  if (breaker.kind === 'UL 489') return ulPromise(breaker.ampsRated, ratio);
  return iecPromise(breaker.ampsRated, ratio, IEC_BANDS[breaker.kind]);
}

/** UL 489: rating up to, seconds within which 200 % must trip. */
const UL_TWICE_RATED: readonly (readonly [ampsUpTo: number, seconds: number])[] = [
  [30, 120],
  [50, 240],
  [100, 360],
  [150, 480],
  [225, 600],
  [400, 720],
  [600, 840],
];

function ulPromise(ampsRated: number, ratio: number): TripPromise {
  if (isUpTo(ratio, 1)) return { verdict: 'must hold', forSeconds: null };
  if (isBelow(ratio, 1.35)) return { verdict: 'may trip' };
  const hours = ampsRated <= 50 ? 1 : 2;
  const slow = hours * HOUR;
  const fast = UL_TWICE_RATED.find(([upTo]) => ampsRated <= upTo)?.[1] ?? slow;
  const withinSeconds = isBelow(ratio, 2) ? slow : fast;
  return { verdict: 'must trip', notBeforeSeconds: 0, withinSeconds };
}

/** Magnetic band of an IEC type, in multiples of the rating. */
interface IecBand {
  low: number;
  high: number;
  /** Longest time at the low end: ratings to 32 A, ratings above. */
  lowSeconds: readonly [number, number];
}

/** IEC 60898-1 table 7, tests d and e. */
const IEC_BANDS: Record<'IEC B' | 'IEC C' | 'IEC D', IecBand> = {
  'IEC B': { low: 3, high: 5, lowSeconds: [45, 90] },
  'IEC C': { low: 5, high: 10, lowSeconds: [15, 30] },
  'IEC D': { low: 10, high: 20, lowSeconds: [4, 8] },
};

function iecPromise(ampsRated: number, ratio: number, band: IecBand): TripPromise {
  const hours = ampsRated <= 63 ? 1 : 2;
  if (isUpTo(ratio, 1.13)) return { verdict: 'must hold', forSeconds: hours * HOUR };
  if (isBelow(ratio, 1.45)) return { verdict: 'may trip' };
  const within = (notBeforeSeconds: number, withinSeconds: number): TripPromise => ({
    verdict: 'must trip',
    notBeforeSeconds,
    withinSeconds,
  });
  const isSmall = ampsRated <= 32;
  // A smaller current never trips sooner and a larger one never later, so each tested point
  // bounds its neighbours on one side.
  if (isBelow(ratio, 2.55)) return within(1, hours * HOUR);
  if (isUpTo(ratio, 2.55)) return within(1, isSmall ? 60 : 120);
  if (isBelow(ratio, band.low)) return within(0.1, isSmall ? 60 : 120);
  const lowSeconds = band.lowSeconds[isSmall ? 0 : 1];
  if (!isBelow(ratio, band.high)) return within(0, 0.1);
  return within(isUpTo(ratio, band.low) ? 0.1 : 0, lowSeconds);
}
