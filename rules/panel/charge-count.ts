/**
 * State of charge by counting since the bank was last full. A count without a full charge to start
 * from is no count, and the longer ago it was full the less it is worth: what the current sensor
 * may be off adds up, and so does every hour that it was silent.
 */
import { z } from 'zod';
import type { Battery, Boat } from '../boat/boat.ts';
import { chemistryLimits } from '../boat/chemistry-limits.ts';
import { CHARGE_EFFICIENCY, stateOfChargeAfter } from '../electrical/batteries.ts';
import { drainCountedAs } from './peukert-drain.ts';

export const chargeCountSchema = z.object({
  /** 0..1; null until a full charge has been seen. */
  charge: z.number().min(0).max(1).nullable(),
  lastFullMs: z.number().nullable(),
  /** Time watched, with volts and current known, since it was last full or since the beginning. */
  watchedMs: z.number(),
  /** Time since it was last full in which the current was not known. */
  unseenMs: z.number(),
  /** How long it has looked full: held at full volts, and kept at float volts. */
  fullForMs: z.number(),
  floatForMs: z.number(),
  /** What a sensor of the state of charge lacked of 1 when volts and current last said full. */
  sensorMiss: z.number().min(0).max(1).default(0),
  /** What `charge` is a share of; null: the rating. */
  ampHours: z.number().nullable().default(null),
});

/** Plain JSON, kept over a restart. */
export type ChargeCount = z.infer<typeof chargeCountSchema>;

export const freshCount = (): ChargeCount => ({
  charge: null,
  lastFullMs: null,
  watchedMs: 0,
  unseenMs: 0,
  fullForMs: 0,
  floatForMs: 0,
  sensorMiss: 0,
  ampHours: null,
});

/** What the bank's sensors say; null where unknown. Amperes positive charging. */
export interface BankReadings {
  volts: number | null;
  amps: number | null;
  stateOfCharge: number | null;
}

/** A sensor that says so itself counts as full. */
const SAYS_FULL = 0.99;
/** An unseen hour may have taken as much as the 20-hour rate. */
const UNSEEN_RATIO_PER_HOUR = 1 / 20;
/** Never better than this: efficiency and capacity are not known closer. */
const LEAST_DOUBT = 0.03;
/** Beyond this doubt a count says nothing any more. */
const MOST_DOUBT = 0.25;

/**
 * Counts `passedMs` on and notices a full charge. `ampHours` is what the bank holds, where that was
 * learned. Changes `count`.
 */
export function countOn(
  count: ChargeCount,
  boat: Boat,
  battery: Battery,
  { volts, amps, stateOfCharge }: BankReadings,
  passedMs: number,
  nowMs: number,
  ampHours: number = battery.ampHours,
): void {
  countAgainst(count, battery, ampHours);
  if (amps === null) count.unseenMs += passedMs;
  if (amps !== null && volts !== null) {
    count.watchedMs += passedMs;
    watchForFull(count, boat, battery, volts, amps, passedMs);
  }
  if (amps !== null && count.charge !== null) {
    const counted = amps < 0 ? -drainCountedAs(battery, -amps) : amps;
    count.charge = stateOfChargeAfter(
      count.charge,
      counted,
      passedMs / 1000,
      ampHours,
      CHARGE_EFFICIENCY[battery.chemistry],
    );
  }
  const isHeldFull =
    count.fullForMs >= boat.limits.fullMinutes * 60_000 ||
    count.floatForMs >= boat.limits.floatFullMinutes * 60_000;
  if (isHeldFull && stateOfCharge !== null) count.sensorMiss = Math.max(0, 1 - stateOfCharge);
  if (!isHeldFull && (stateOfCharge === null || stateOfCharge < SAYS_FULL)) return;
  count.lastFullMs = nowMs;
  count.watchedMs = 0;
  count.unseenMs = 0;
  // A monitor that calls itself full is not taken for a full charge to count from.
  if (stateOfCharge === null) count.charge = 1;
}

/** What was taken stays the same when it is learned that the bank holds less. */
function countAgainst(count: ChargeCount, battery: Battery, ampHours: number): void {
  const before = count.ampHours ?? battery.ampHours;
  count.ampHours = ampHours;
  if (before === ampHours || count.charge === null) return;
  count.charge = Math.min(1, Math.max(0, 1 - ((1 - count.charge) * before) / ampHours));
}

function watchForFull(
  count: ChargeCount,
  boat: Boat,
  battery: Battery,
  volts: number,
  amps: number,
  passedMs: number,
): void {
  const { limits } = boat;
  const own = chemistryLimits(boat, battery);
  const share = Math.abs(amps) / battery.ampHours;
  const atFull = volts >= own.fullVolts && share < limits.fullAmpsRatio;
  const atFloat = volts >= own.floatVolts && share < limits.floatAmpsRatio;
  count.fullForMs = atFull ? count.fullForMs + passedMs : 0;
  count.floatForMs = atFloat ? count.floatForMs + passedMs : 0;
}

/** How far the count may be off, 0..1; null where it is not worth saying. */
export function countDoubt(
  count: ChargeCount,
  boat: Boat,
  battery: Battery,
  nowMs: number,
): number | null {
  if (count.charge === null || count.lastFullMs === null) return null;
  const hours = Math.max(0, nowMs - count.lastFullMs) / 3_600_000;
  const drift = (boat.limits.shuntDriftAmps * hours) / battery.ampHours;
  const unseen = (count.unseenMs / 3_600_000) * UNSEEN_RATIO_PER_HOUR;
  const doubt = LEAST_DOUBT + drift + unseen;
  return doubt <= MOST_DOUBT ? doubt : null;
}
