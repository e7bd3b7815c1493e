/**
 * Peukert's law in the rated-hours form: a lead-acid battery gives less the faster it is emptied.
 * The plate's capacity holds at its rated hours, usually 20. (The other form found in print, C over
 * I to the k, wants the capacity at one ampere and gives wrong hours for a plate's capacity.)
 */
import { isPositive } from './numbers.ts';

/**
 * Hours to empty a full battery at `amps`, above 0. `exponent` from 1: flooded 1.2..1.6, AGM
 * 1.05..1.15, gel 1.1..1.25, lithium about 1.05. Null on bad input.
 */
export function peukertHours(
  ampHoursRated: number,
  ratedHours: number,
  exponent: number,
  amps: number,
): number | null {
  const effective = effectiveAmps(ampHoursRated, ratedHours, exponent, amps);
  return effective === null ? null : ampHoursRated / effective;
}

/** Amperes that a current counts for against the rated capacity. All above 0, `exponent` from 1. */
export function effectiveAmps(
  ampHoursRated: number,
  ratedHours: number,
  exponent: number,
  amps: number,
): number | null {
  if (!isPositive(ampHoursRated) || !isPositive(ratedHours) || !isPositive(amps)) return null;
  if (!(exponent >= 1) || !Number.isFinite(exponent)) return null;
  return amps * (amps / (ampHoursRated / ratedHours)) ** (exponent - 1);
}

/** The exponent from two full discharges at different currents. Null on bad or equal currents. */
export function peukertExponent(
  one: { amps: number; hours: number },
  other: { amps: number; hours: number },
): number | null {
  if (![one.amps, one.hours, other.amps, other.hours].every(isPositive)) return null;
  if (one.amps === other.amps) return null;
  return Math.log(other.hours / one.hours) / Math.log(one.amps / other.amps);
}
