/** Single loads: how they start and how they follow the voltage. Rules of thumb say so. */
import { isNotNegative, isPositive } from './numbers.ts';

/** NEC 430.7(B): locked-rotor kVA per horsepower, from and below. V has no upper end. */
const CODE_LETTERS = {
  A: [0, 3.14],
  B: [3.15, 3.54],
  C: [3.55, 3.99],
  D: [4, 4.49],
  E: [4.5, 4.99],
  F: [5, 5.59],
  G: [5.6, 6.29],
  H: [6.3, 7.09],
  J: [7.1, 7.99],
  K: [8, 8.99],
  L: [9, 9.99],
  M: [10, 11.19],
  N: [11.2, 12.49],
  P: [12.5, 13.99],
  R: [14, 15.99],
  S: [16, 17.99],
  T: [18, 19.99],
  U: [20, 22.39],
} as const satisfies Record<string, readonly [number, number]>;

/** A single-phase motor's code letter; V is left out, for its table has no upper end. */
export type MotorCodeLetter = keyof typeof CODE_LETTERS;

/** Starting amperes of a single-phase motor. Null on bad input. Source: NEC 430.7(B). */
export function lockedRotorAmps(
  code: MotorCodeLetter,
  horsepower: number,
  volts: number,
): { min: number; max: number } | null {
  if (!isPositive(horsepower) || !isPositive(volts)) return null;
  const [min, max] = CODE_LETTERS[code];
  const ampsPerKva = (1000 * horsepower) / volts;
  return { min: min * ampsPerKva, max: max * ampsPerKva };
}

/** Watts of a heater of fixed resistance at another voltage. Null on bad input. */
export function heaterWattsAt(
  wattsRated: number,
  voltsRated: number,
  volts: number,
): number | null {
  if (!isNotNegative(wattsRated) || !isPositive(voltsRated) || !isNotNegative(volts)) return null;
  return wattsRated * (volts / voltsRated) ** 2;
}

/**
 * Generator watts for an air conditioner of so many BTU an hour, its start included: a handbook's
 * rule of thumb, BTU / 6000 kilowatts. Null on bad input.
 */
export function airConditionerGeneratorWatts(btuPerHour: number): number | null {
  return isNotNegative(btuPerHour) ? btuPerHour / 6 : null;
}
