/**
 * Neutral current on a 120/240 V boat. The two legs swing against each other, so the neutral
 * carries their difference; a load across both legs adds nothing to it. Like harmonics on both legs
 * cancel as well: the rule that triple harmonics add up in the neutral is for three phases.
 */
import { isNotNegative, isRatio } from './numbers.ts';
import { isFinitePhasor, magnitude, minus, type Phasor } from './phasor.ts';

/**
 * Neutral current in amperes RMS. Each leg's current is given against its own leg's voltage: a
 * resistive load has angle 0 on either leg. Null when either is not finite.
 */
export function neutralAmps(leg1Amps: Phasor, leg2Amps: Phasor): number | null {
  const difference = minus(leg1Amps, leg2Amps);
  return isFinitePhasor(difference) ? magnitude(difference) : null;
}

/**
 * The neutral current's least and greatest possible value when only the legs' RMS amperes are
 * known, and every load lags with a power factor of `powerFactorMin`..1. Null on bad input.
 */
export function neutralAmpsRange(
  leg1Amps: number,
  leg2Amps: number,
  powerFactorMin: number,
): { min: number; max: number } | null {
  if (!isNotNegative(leg1Amps) || !isNotNegative(leg2Amps) || !isRatio(powerFactorMin)) return null;
  const square = leg1Amps ** 2 + leg2Amps ** 2 - 2 * leg1Amps * leg2Amps * powerFactorMin;
  const min = Math.abs(leg1Amps - leg2Amps);
  return { min, max: Math.max(min, Math.sqrt(Math.max(0, square))) };
}
