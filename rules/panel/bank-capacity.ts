/**
 * How many ampere-hours a bank really holds. A bank ages, and its plate does not say so. What was
 * taken out between a full charge and a point whose depth the volts alone can tell is measured, and
 * only two such discharges that agree count: one may have been a cold night or a sensor's whim.
 */
import { z } from 'zod';
import type { Battery, Boat } from '../boat/boat.ts';
import { chemistryLimits } from '../boat/chemistry-limits.ts';
import { CHARGE_EFFICIENCY, restStateOfCharge } from '../electrical/batteries.ts';
import type { BankReadings, ChargeCount } from './charge-count.ts';
import { drainCountedAs } from './peukert-drain.ts';

const cycleSchema = z.object({
  /** Counted out of the bank since it was full, and put back with what charging loses taken off. */
  takenAmpHours: z.number(),
  putAmpHours: z.number(),
  watchedMs: z.number(),
  unseenMs: z.number(),
  /** The deepest point so far whose depth could be told: 0..1 of what it holds, and what that makes. */
  depth: z.number(),
  ampHours: z.number().nullable(),
});

export const bankCapacitySchema = z.object({
  /** The discharge that is going on; null until a full charge has been seen. */
  cycle: cycleSchema.nullable(),
  /** How long it has rested, and its volts and current meanwhile. */
  rest: z.object({ ms: z.number(), volts: z.number(), amps: z.number() }),
  /** What whole discharges came to, newest last. */
  ampHours: z.array(z.number()),
  /** Its sensor counts down from what the plate says, so that its state of charge is too high. */
  isSensorRated: z.boolean(),
});

/** Plain JSON, kept over a restart. */
export type BankCapacity = z.infer<typeof bankCapacitySchema>;
type Cycle = z.infer<typeof cycleSchema>;

/** What a bank was seen to hold, never more than its rating, and from how many discharges. */
export interface LearnedCapacity {
  ampHours: number;
  cycles: number;
}

const noRest = (): BankCapacity['rest'] => ({ ms: 0, volts: 0, amps: 0 });
const newCycle = (): Cycle => ({
  takenAmpHours: 0,
  putAmpHours: 0,
  watchedMs: 0,
  unseenMs: 0,
  depth: 0,
  ampHours: null,
});

export const freshCapacity = (): BankCapacity => ({
  cycle: null,
  rest: noRest(),
  ampHours: [],
  isSensorRated: false,
});

const HOUR_MS = 3_600_000;
/** The newest so many discharges count; their estimates may differ by this factor. */
const CYCLES = 3;
const CYCLES_LEAST = 2;
const AGREE_RATIO = 1.25;
/** Share of a discharge that must have been watched, and the most that may have been put back. */
const COVERAGE = 0.97;
const PUT_BACK_RATIO = 0.5;
/** Share of what was taken that a shunt's offset may account for. */
const DRIFT_RATIO = 0.1;
/** A bank that is kept full has lost no more than this of its rating since. */
const STILL_FULL_RATIO = 0.05;
/** Charging with more than this share of the capacity an hour is no rest. */
const CHARGING_RATIO = 0.002;
/** A load that is too heavy for rest undoes so many times its length. */
const LOAD_UNDOES = 10;
/** Volts at rest are the mean of so long. */
const MEAN_MS = 15 * 60_000;
/**
 * Volts by which a light load holds a bank down, as a share of them and per share of its capacity
 * drawn in an hour: 3 % at that rate's one whole hour, 0.04 V of 12 V at 1 % of it (our estimate).
 */
const SAG_RATIO = 0.3;
/** A lithium bank's volts say nothing but that it is nearly empty: so much is then in it. */
const KNEE_RATIO = 0.1;
const KNEE_MS = 10 * 60_000;

/** Takes `passedMs` of a bank's readings. `count` says whether it is full. Changes `memory`. */
export function noteCapacity(
  memory: BankCapacity,
  boat: Boat,
  battery: Battery,
  readings: BankReadings,
  count: ChargeCount,
  passedMs: number,
): void {
  beginWhenFull(memory, boat, battery, count);
  const { cycle } = memory;
  if (!cycle) return;
  const { volts, amps } = readings;
  if (volts === null || amps === null) {
    cycle.unseenMs += passedMs;
    memory.rest = noRest();
    return;
  }
  cycle.watchedMs += passedMs;
  const hours = passedMs / HOUR_MS;
  if (amps < 0) cycle.takenAmpHours += drainCountedAs(battery, -amps) * hours;
  else cycle.putAmpHours += amps * CHARGE_EFFICIENCY[battery.chemistry] * hours;
  noteRest(memory.rest, boat, battery, volts, amps, passedMs);
  const charge = chargeByVolts(memory.rest, boat, battery);
  if (charge !== null) judge(memory, cycle, boat, battery, charge, readings.stateOfCharge);
}

/** Time in which nothing was running was not watched. */
export function noteUnseen({ cycle }: BankCapacity, unseenMs: number): void {
  if (cycle) cycle.unseenMs += unseenMs;
}

/** What the newest deep discharges agree on; null where there are fewer than two, or they do not. */
export function learnedCapacity(memory: BankCapacity, battery: Battery): LearnedCapacity | null {
  const own = memory.cycle?.ampHours ?? null;
  const newest = [...memory.ampHours, ...(own === null ? [] : [own])].slice(-CYCLES);
  if (newest.length < CYCLES_LEAST) return null;
  if (Math.max(...newest) > AGREE_RATIO * Math.min(...newest)) return null;
  const mean = newest.reduce((sum, value) => sum + value, 0) / newest.length;
  return { ampHours: Math.min(battery.ampHours, mean), cycles: newest.length };
}

/** A new discharge is counted from each moment in which it is full beyond doubt, or kept so. */
function beginWhenFull(
  memory: BankCapacity,
  { limits }: Boat,
  battery: Battery,
  { fullForMs, floatForMs }: ChargeCount,
): void {
  const { cycle } = memory;
  const isFull = fullForMs >= limits.fullMinutes * 60_000;
  // Float volts alone can be those of panels on a half full bank, so they only keep a full one full.
  const isKept =
    cycle !== null &&
    floatForMs >= limits.floatFullMinutes * 60_000 &&
    cycle.takenAmpHours < STILL_FULL_RATIO * battery.ampHours;
  if (!isFull && !isKept) return;
  const ended = cycle?.ampHours ?? null;
  if (ended !== null) memory.ampHours = [...memory.ampHours, ended].slice(-CYCLES);
  memory.cycle = newCycle();
  memory.rest = noRest();
}

function noteRest(
  rest: BankCapacity['rest'],
  { limits }: Boat,
  { ampHours }: Battery,
  volts: number,
  amps: number,
  passedMs: number,
): void {
  if (amps > CHARGING_RATIO * ampHours) {
    Object.assign(rest, noRest());
    return;
  }
  if (-amps > limits.capacityRestRatio * ampHours) {
    rest.ms = Math.max(0, rest.ms - LOAD_UNDOES * passedMs);
    return;
  }
  const share = rest.ms === 0 ? 1 : 1 - Math.exp(-passedMs / MEAN_MS);
  rest.volts += share * (volts - rest.volts);
  rest.amps += share * (amps - rest.amps);
  rest.ms = Math.min(rest.ms + passedMs, limits.capacityRestMinutes * 60_000 + HOUR_MS);
}

/** 0..1 by the volts alone; null while they say nothing. */
function chargeByVolts(
  { ms, volts, amps }: BankCapacity['rest'],
  boat: Boat,
  battery: Battery,
): number | null {
  if (battery.chemistry === 'lifepo4') {
    const isAtKnee = ms >= KNEE_MS && volts < chemistryLimits(boat, battery).lowVolts;
    return isAtKnee ? KNEE_RATIO : null;
  }
  if (ms < boat.limits.capacityRestMinutes * 60_000) return null;
  const sag = SAG_RATIO * (Math.max(0, -amps) / battery.ampHours);
  return restStateOfCharge(volts * (1 + sag), battery);
}

/** Takes a point down if it is deep enough, deeper than those before, and all of the way was seen. */
function judge(
  memory: BankCapacity,
  cycle: Cycle,
  { limits }: Boat,
  { ampHours }: Battery,
  charge: number,
  sensorCharge: number | null,
): void {
  const depth = 1 - charge;
  if (depth < limits.capacityDeepRatio || depth <= cycle.depth) return;
  const { takenAmpHours, putAmpHours, watchedMs, unseenMs } = cycle;
  const net = takenAmpHours - putAmpHours;
  const driftAmpHours = (limits.shuntDriftAmps * (watchedMs + unseenMs)) / HOUR_MS;
  if (net <= 0 || putAmpHours > PUT_BACK_RATIO * takenAmpHours) return;
  if (watchedMs < COVERAGE * (watchedMs + unseenMs) || driftAmpHours > DRIFT_RATIO * net) return;
  cycle.depth = depth;
  cycle.ampHours = net / depth;
  if (sensorCharge === null) return;
  // A counter set to the plate says what is left of that; one that knows better agrees with the volts.
  const counted = Math.max(0, 1 - net / ampHours);
  memory.isSensorRated = Math.abs(sensorCharge - counted) < Math.abs(sensorCharge - charge);
}
