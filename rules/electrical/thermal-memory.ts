/**
 * How warm a breaker's bimetal is, as a number: 0 cold, 1 trips. It remembers, so a breaker that was
 * nearly full trips sooner. One exponential is a warning aid, no copy of a real breaker: use it to
 * rank urgency, and `breakers.ts` for what the standards promise.
 *
 * Source: thermal replica of IEC 60255-149 (formerly 60255-8).
 */
import { isNotNegative, isPositive } from './numbers.ts';

export interface ThermalReplica {
  /** Amperes that just reach the trip point after a very long time, above 0. */
  pickupAmps: number;
  /** Time constant in seconds, above 0. */
  tauSeconds: number;
}

/**
 * Warmth (0 and up) after `amps` has flowed steadily for `seconds`, both 0 and up. The exact
 * solution: one step of an hour gives what 3600 steps of a second give. Null on bad input.
 */
export function warmthAfter(
  warmth: number,
  amps: number,
  seconds: number,
  replica: ThermalReplica,
): number | null {
  if (!isNotNegative(warmth) || !isNotNegative(amps) || !isNotNegative(seconds)) return null;
  if (!isReplica(replica)) return null;
  const settled = (amps / replica.pickupAmps) ** 2;
  return settled + (warmth - settled) * Math.exp(-seconds / replica.tauSeconds);
}

/**
 * Seconds until the trip point if `amps` flows on; 0 when it is reached already, `never` when this
 * current cannot reach it. Null on bad input.
 */
export function secondsToTrip(
  warmth: number,
  amps: number,
  replica: ThermalReplica,
): number | 'never' | null {
  if (!isNotNegative(warmth) || !isNotNegative(amps) || !isReplica(replica)) return null;
  if (warmth >= 1) return 0;
  const settled = (amps / replica.pickupAmps) ** 2;
  if (settled <= 1) return 'never';
  return replica.tauSeconds * Math.log((settled - warmth) / (settled - 1));
}

function isReplica(replica: ThermalReplica): boolean {
  return isPositive(replica.pickupAmps) && isPositive(replica.tauSeconds);
}
