/**
 * Power of sine-shaped alternating current. Amperes of different loads do not simply add; their
 * watts and vars do. For current that is not a sine see `sampled-waves.ts`.
 *
 * Source: IEEE Std 1459, single-phase sinusoidal definitions, from memory; textbook arithmetic.
 */
import { isNotNegative, isPositive, isRatio } from './numbers.ts';
import { conjugate, dividedBy, isFinitePhasor, phasor, times, type Phasor } from './phasor.ts';

/** Watts positive as by `signs.ts`; vars positive for a lagging (inductive) load. */
export interface AcPower {
  watts: number;
  vars: number;
}

/** Power of a voltage and a current phasor (RMS). Null when either is not finite. */
export function powerOf(volts: Phasor, amps: Phasor): AcPower | null {
  const product = times(volts, conjugate(amps));
  return isFinitePhasor(product) ? { watts: product.re, vars: product.im } : null;
}

/**
 * Power from RMS volts (0 and up), RMS amps (0 and up) and a power factor 0..1 that lags unless
 * said otherwise. Null outside these ranges.
 */
export function powerFrom(
  volts: number,
  amps: number,
  powerFactor: number,
  shift: 'lagging' | 'leading' = 'lagging',
): AcPower | null {
  const voltAmps = volts * amps;
  if (!isNotNegative(volts) || !isNotNegative(amps) || !isNotNegative(voltAmps)) return null;
  if (!isRatio(powerFactor)) return null;
  const vars = voltAmps * Math.sqrt(1 - powerFactor ** 2);
  return { watts: voltAmps * powerFactor, vars: shift === 'lagging' ? vars : -vars };
}

/** Power of loads side by side on the same voltage; zero for none. Null when any is not finite. */
export function sumOfPowers(powers: readonly AcPower[]): AcPower | null {
  const watts = powers.reduce((sum, power) => sum + power.watts, 0);
  const vars = powers.reduce((sum, power) => sum + power.vars, 0);
  return Number.isFinite(watts) && Number.isFinite(vars) ? { watts, vars } : null;
}

/** Apparent power in volt-amperes, 0 and up. Null when the power is not finite. */
export function voltAmpsOf(power: AcPower): number | null {
  const voltAmps = Math.hypot(power.watts, power.vars);
  return Number.isFinite(voltAmps) ? voltAmps : null;
}

/** Power factor 0..1, whichever way the power flows. Null without power, or when it is not finite. */
export function powerFactorOf(power: AcPower): number | null {
  const voltAmps = voltAmpsOf(power);
  return voltAmps === null || voltAmps === 0 ? null : Math.abs(power.watts) / voltAmps;
}

/** RMS amperes that carry this power at `volts` (RMS, above 0). Null on bad input. */
export function ampsOf(power: AcPower, volts: number): number | null {
  const voltAmps = voltAmpsOf(power);
  return voltAmps === null || !isPositive(volts) ? null : voltAmps / volts;
}

/** Resistance and inductance in series, as an impedance in ohms. Null on a negative or bad input. */
export function seriesOhms(ohms: number, henries: number, hertz: number): Phasor | null {
  if (!isNotNegative(ohms) || !isNotNegative(henries) || !isPositive(hertz)) return null;
  return phasor(ohms, 2 * Math.PI * hertz * henries);
}

/** Current through an impedance, by Ohm's law. Null for a short circuit (zero ohms) or bad input. */
export function ampsThrough(volts: Phasor, ohms: Phasor): Phasor | null {
  const amps = dividedBy(volts, ohms);
  return isFinitePhasor(amps) ? amps : null;
}
