/**
 * Resistance between a source and where its voltage is measured: cord, plugs, joints, dock. Two
 * readings at different loads give it; a rise from one day to the next is a joint going bad. A bad
 * joint hardly changes the current, so a breaker does not see it.
 */
import { isNotNegative } from './numbers.ts';

export interface LoadedReading {
  /** RMS or DC volts. */
  volts: number;
  /** Amps out of the source, 0 and up. */
  amps: number;
}

export interface SourceResistance {
  ohms: number;
  openCircuitVolts: number;
}

/**
 * Source resistance and open-circuit voltage from two readings close in time. The source must not
 * have changed in between: on a dock the neighbours' loads change it, so take many pairs.
 *
 * Null: readings less than `ampsApartMin` apart (above 0), a voltage that rose with the load (the
 * source changed), or bad input.
 */
export function sourceResistance(
  one: LoadedReading,
  other: LoadedReading,
  ampsApartMin = 1,
): SourceResistance | null {
  if (![one.volts, one.amps, other.volts, other.amps].every(isNotNegative)) return null;
  const ampsApart = other.amps - one.amps;
  if (!(ampsApartMin > 0) || Math.abs(ampsApart) < ampsApartMin) return null;
  const ohms = (one.volts - other.volts) / ampsApart;
  if (ohms < 0) return null;
  return { ohms, openCircuitVolts: one.volts + ohms * one.amps };
}

/** Heat in watts in a joint of `ohms` that carries `amps`. Null on bad input. */
export function jointWatts(amps: number, ohms: number): number | null {
  return Number.isFinite(amps) && isNotNegative(ohms) ? amps ** 2 * ohms : null;
}
