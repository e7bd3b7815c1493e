/**
 * Voltage lost along a cable, and the size that keeps it small. Drop counts the way out and back;
 * a boat file gives the one-way length.
 */
import type { Conductor } from '../boat/boat.ts';
import { TABULATED_AWG, type TabulatedAwg } from './conductors.ts';
import { isNotNegative, isPositive, isRatio } from './numbers.ts';
import { awgCircularMils, awgSquareMillimetres, copperOhmsPerMetre } from './wire-geometry.ts';

/**
 * Largest drop as a share of system volts by ABYC E-11 (read in secondary sources): `critical` for
 * panel feeders, bilge blowers, navigation lights and electronics, `other` for the rest.
 */
export const DROP_RATIO_MAX = { critical: 0.03, other: 0.1 } as const;

/**
 * Ohm circular mils per foot of copper: ABYC E-11's constant, from memory; copper at about 29
 * degrees Celsius. A hot cable drops up to a fifth more.
 */
const ABYC_K = 10.75;

const FEET_PER_METRE = 1 / 0.3048;

/**
 * Resistance in ohms of a conductor out and back at `celsius` (-50..250), stranded copper. Null
 * without length or size, or on bad input.
 */
export function loopOhms(conductor: Conductor, celsius: number): number | null {
  const area =
    conductor.awg === undefined
      ? (conductor.squareMillimetres ?? null)
      : awgSquareMillimetres(conductor.awg);
  const length = conductor.lengthMetres;
  if (area === null || length === undefined || !isNotNegative(length)) return null;
  const ohmsPerMetre = copperOhmsPerMetre(area, celsius);
  return ohmsPerMetre === null ? null : ohmsPerMetre * length * 2;
}

/** Volts lost in a resistance, 0 and up; right for DC and for AC at power factor 1. Null on bad input. */
export function dropVolts(amps: number, ohms: number): number | null {
  return isNotNegative(amps) && isNotNegative(ohms) ? amps * ohms : null;
}

/**
 * Volts by which an AC load's voltage is lower, for a lagging load of `powerFactor` 0..1 behind
 * `ohms` of resistance and `reactanceOhms`, both out and back. The usual approximation
 * I (R cos + X sin), good while the drop is small. Null on bad input. Source: NEC chapter 9 table
 * 9 note 2, from memory.
 */
export function acDropVolts(
  amps: number,
  ohms: number,
  reactanceOhms: number,
  powerFactor: number,
): number | null {
  if (!isNotNegative(amps) || !isNotNegative(ohms) || !isNotNegative(reactanceOhms)) return null;
  if (!isRatio(powerFactor)) return null;
  return amps * (ohms * powerFactor + reactanceOhms * Math.sqrt(1 - powerFactor ** 2));
}

/**
 * Copper needed, in circular mils, to lose no more than `dropVoltsMax` over a round trip. All
 * above 0, `amps` from 0. Null on bad input. Source: ABYC E-11, CM = K I L / E.
 */
export function circularMilsForDrop(
  amps: number,
  roundTripMetres: number,
  dropVoltsMax: number,
): number | null {
  if (!isNotNegative(amps) || !isPositive(roundTripMetres) || !isPositive(dropVoltsMax))
    return null;
  return (ABYC_K * amps * roundTripMetres * FEET_PER_METRE) / dropVoltsMax;
}

/**
 * Thinnest size from 18 to 4/0 AWG with that much copper. Null when even 4/0 is too thin, or on bad
 * input. It looks at the drop alone: the ampacity must hold too.
 */
export function awgForDrop(
  amps: number,
  roundTripMetres: number,
  dropVoltsMax: number,
): TabulatedAwg | null {
  const needed = circularMilsForDrop(amps, roundTripMetres, dropVoltsMax);
  if (needed === null) return null;
  return TABULATED_AWG.find((size) => (awgCircularMils(size) ?? 0) >= needed) ?? null;
}
