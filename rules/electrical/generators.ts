/**
 * How hard a generator works: whole and leg by leg, derating, and the lower end where a diesel
 * suffers. Marine sets are often rated at power factor 1 (common practice): read the plate.
 */
import type { Generator } from '../boat/boat.ts';
import { isNotNegative, isPositive, isRatio } from './numbers.ts';

/** Apparent power of `watts` at a power factor above 0 to 1. Null on bad input. */
export function voltAmpsAt(watts: number, powerFactor: number): number | null {
  return isNotNegative(watts) && isRatio(powerFactor) && powerFactor > 0
    ? watts / powerFactor
    : null;
}

/** Rated amperes of each leg: the rating spread evenly. `legs` from 1 up. Null on bad input. */
export function ampsPerLeg(voltAmpsRated: number, legVolts: number, legs: number): number | null {
  if (!isPositive(voltAmpsRated) || !isPositive(legVolts)) return null;
  return Number.isInteger(legs) && legs >= 1 ? voltAmpsRated / (legVolts * legs) : null;
}

export interface GeneratorLoading {
  /** Apparent power of all legs / rated. */
  voltAmpsRatio: number;
  /** Each leg's amperes / its rated amperes, in the order given. */
  legRatios: number[];
  worstLegRatio: number;
  /** One leg is over its rating while the whole is not: a total alone would hide it. */
  isHiddenOverload: boolean;
}

/**
 * Load against rating, 0 and up, from the RMS amperes of each leg (0 and up). The volt-amperes are
 * counted at nominal volts, so a sagging set does not look less loaded. Null for no legs or bad
 * input.
 */
export function generatorLoading(
  rating: Pick<Generator, 'voltAmpsRated' | 'ampsRated'>,
  legVolts: number,
  legAmps: readonly number[],
): GeneratorLoading | null {
  if (!isPositive(rating.voltAmpsRated) || !isPositive(rating.ampsRated)) return null;
  if (!isPositive(legVolts) || legAmps.length === 0 || !legAmps.every(isNotNegative)) return null;
  const ampsSum = legAmps.reduce((sum, amps) => sum + amps, 0);
  const voltAmpsRatio = (ampsSum * legVolts) / rating.voltAmpsRated;
  const legRatios = legAmps.map((amps) => amps / rating.ampsRated);
  const worstLegRatio = Math.max(...legRatios);
  return {
    voltAmpsRatio,
    legRatios,
    worstLegRatio,
    isHiddenOverload: worstLegRatio > 1 && voltAmpsRatio <= 1,
  };
}

/** Largest rating of a generator's breaker, 115 % of rated amperes (46 CFR 28.860; inspected vessels). */
export function generatorBreakerAmpsMax(ampsRated: number): number | null {
  return isPositive(ampsRated) ? ampsRated * 1.15 : null;
}

/** A maker's derating rule: straight lines from where the rating ends, multiplied with each other. */
export interface DeratingRule {
  celsiusFrom: number;
  ratioPerCelsius: number;
  metresFrom: number;
  ratioPerMetre: number;
}

/**
 * 3 % per 5 degrees above 40, 3 % per 500 m above 1000 m: an alternator maker's note. Makers
 * differ: 46 CFR 183.320 takes 20 % off at 50 degrees. The maker's own rule comes first.
 */
export const DERATING_RULE: DeratingRule = {
  celsiusFrom: 40,
  ratioPerCelsius: 0.03 / 5,
  metresFrom: 1000,
  ratioPerMetre: 0.03 / 500,
};

/** Share of its rating that a set gives in this air, 0..1. Null on bad input. */
export function deratingFactor(
  celsius: number,
  altitudeMetres: number,
  rule: DeratingRule = DERATING_RULE,
): number | null {
  const hot = 1 - rule.ratioPerCelsius * Math.max(0, celsius - rule.celsiusFrom);
  const high = 1 - rule.ratioPerMetre * Math.max(0, altitudeMetres - rule.metresFrom);
  if (!Number.isFinite(hot) || !Number.isFinite(high)) return null;
  return Math.min(1, Math.max(0, hot)) * Math.min(1, Math.max(0, high));
}

/**
 * Share of rated watts below which a diesel should not run for long. NFPA 110, monthly exercise of
 * standby sets; yachts are not bound by it and others ask for 0.5. The engine's maker rules.
 */
export const LIGHT_LOAD_RATIO = 0.3;

/** Below its light-load limit, running without load included. Null on bad input. */
export function isLightlyLoaded(
  watts: number,
  wattsRated: number,
  lightRatio = LIGHT_LOAD_RATIO,
): boolean | null {
  if (!Number.isFinite(watts) || !isPositive(wattsRated) || !isRatio(lightRatio)) return null;
  return watts < wattsRated * lightRatio;
}
