/**
 * State of charge by counting, hours left, and what a battery's voltage says. Counting drifts: an
 * error of 0.1 A is 72 Ah in a month, so the count must be set anew at every full charge.
 */
import type { Battery } from '../boat/boat.ts';
import { isNotNegative, isPositive, isRatio } from './numbers.ts';
import { effectiveAmps } from './peukert.ts';

/**
 * Share of the charge put in that can be taken out again: common practice, published values
 * disagree (lead acid 0.70..0.98, lithium 0.85..0.99).
 */
export const CHARGE_EFFICIENCY: Readonly<Record<Battery['chemistry'], number>> = {
  flooded: 0.85,
  agm: 0.95,
  gel: 0.95,
  lifepo4: 0.99,
};

/**
 * State of charge 0..1 after `amps` (charging positive) for `seconds` (0 and up). Charging counts
 * with `efficiency` (above 0 to 1), discharging in full. Held within 0..1: a count that wants to
 * leave the range shows that it had drifted. Null on bad input.
 */
export function stateOfChargeAfter(
  stateOfCharge: number,
  amps: number,
  seconds: number,
  ampHoursRated: number,
  efficiency: number,
): number | null {
  if (!isRatio(stateOfCharge) || !isRatio(efficiency) || efficiency === 0) return null;
  if (!Number.isFinite(amps) || !isNotNegative(seconds) || !isPositive(ampHoursRated)) return null;
  const ampHours = ((amps > 0 ? amps * efficiency : amps) * seconds) / 3600;
  return Math.min(1, Math.max(0, stateOfCharge + ampHours / ampHoursRated));
}

/** Ampere-hours to put in for `ampHours` out, both 0 and up; `efficiency` above 0 to 1. */
export function ampHoursToReplace(ampHours: number, efficiency: number): number | null {
  if (!isNotNegative(ampHours) || !isRatio(efficiency) || efficiency === 0) return null;
  return ampHours / efficiency;
}

/**
 * Hours until the bank is down to `floor` (0..1) at this current. With `peukert`, a discharge above
 * the rated one counts for more. Null while it is not discharging, and on bad input; 0 at or below
 * the floor.
 */
export function hoursLeft(
  stateOfCharge: number,
  floor: number,
  ampHoursRated: number,
  amps: number,
  peukert?: { ratedHours: number; exponent: number },
): number | null {
  if (!isRatio(stateOfCharge) || !isRatio(floor) || !isPositive(ampHoursRated)) return null;
  if (!isPositive(-amps)) return null;
  const drain =
    peukert === undefined
      ? -amps
      : effectiveAmps(ampHoursRated, peukert.ratedHours, peukert.exponent, -amps);
  if (drain === null) return null;
  return Math.max(0, ((stateOfCharge - floor) * ampHoursRated) / drain);
}

/** Battery Council International, 12 V flooded lead acid at rest: volts, state of charge. */
const REST_VOLTS: readonly (readonly [volts: number, stateOfCharge: number])[] = [
  [11.89, 0],
  [12.06, 0.25],
  [12.24, 0.5],
  [12.45, 0.75],
  [12.65, 1],
];

/** Outside of these (for 12 V) it is no resting lead-acid battery: charging, loaded hard or broken. */
const REST_VOLTS_MIN = 10.5;
const REST_VOLTS_MAX = 13;

/**
 * State of charge 0..1 of a lead-acid battery that has rested for 6 hours or more, without load
 * and charge. Rough: a meter that is 1 % off is 15 % of charge off, and AGM and gel rest a little
 * higher. The caller must know that it rests.
 *
 * Null: LiFePO4 (its voltage is flat over most of the range, published charts give 13.2 V as
 * anything from 40 to 80 %), a voltage no resting battery has, a nominal voltage that is no whole
 * number of 2 V cells, or bad input. Source: the BCI table, straight lines between.
 */
export function restStateOfCharge(
  volts: number,
  battery: Pick<Battery, 'chemistry' | 'volts'>,
): number | null {
  if (battery.chemistry === 'lifepo4' || !isWholeCells(battery.volts)) return null;
  const volts12 = (volts * 12) / battery.volts;
  if (!(volts12 >= REST_VOLTS_MIN && volts12 <= REST_VOLTS_MAX)) return null;
  const above = REST_VOLTS.findIndex(([limit]) => volts12 < limit);
  if (above === 0) return 0;
  const [lowVolts, lowCharge] = REST_VOLTS.at(above - 1) ?? [0, 0];
  const [highVolts, highCharge] = REST_VOLTS[above] ?? [Infinity, 1];
  if (above < 0) return 1;
  return lowCharge + ((volts12 - lowVolts) / (highVolts - lowVolts)) * (highCharge - lowCharge);
}

/**
 * A lead-acid charging voltage at the battery's temperature. `voltsPerCellPerCelsius` is negative:
 * published values are -0.003 and -0.005, so it is the maker's to say. Null for LiFePO4, which
 * wants no compensation, and on bad input. Reference 25 degrees Celsius.
 */
export function compensatedChargeVolts(
  voltsAt25: number,
  celsius: number,
  battery: Pick<Battery, 'chemistry' | 'volts'>,
  voltsPerCellPerCelsius: number,
): number | null {
  if (battery.chemistry === 'lifepo4' || !isWholeCells(battery.volts)) return null;
  const cells = battery.volts / 2;
  const volts = voltsAt25 + voltsPerCellPerCelsius * cells * (celsius - 25);
  return isPositive(voltsAt25) && isPositive(volts) ? volts : null;
}

function isWholeCells(nominalVolts: number): boolean {
  return isPositive(nominalVolts) && Number.isInteger(nominalVolts / 2);
}
