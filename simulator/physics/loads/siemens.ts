/** The two kinds of load as admittance: a plain resistance, and one that holds its power. */
import { complex } from '../complex.ts';
import type { Complex } from '../complex.ts';

/** A resistance that takes `watts` at `nominalVolts`, and less with the square of lower volts. */
export function resistance(watts: number, nominalVolts: number): Complex {
  return complex(watts / nominalVolts ** 2);
}

/**
 * Takes the same watts at any volts near nominal, lagging by its power factor (0..1); below 70 % of
 * nominal it goes on like the resistance it was there.
 */
export function constantPower(
  watts: number,
  powerFactor: number,
  volts: number,
  nominalVolts: number,
): Complex {
  const base = watts / Math.max(volts, 0.7 * nominalVolts) ** 2;
  return complex(base, -base * Math.tan(Math.acos(powerFactor)));
}
