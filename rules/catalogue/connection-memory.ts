/**
 * What load steps have told of the way from the dock to the inlet, leg by leg: its resistance now,
 * its first picture at this dock, and how hard it is worked. Resistance is that of hot wire, plugs
 * and neutral together, the median over steps of one leg alone.
 */
import * as z from 'zod';
import type { Boat } from '../boat/boat.ts';
import type { SourceState } from '../panel/panel-state.ts';
import { legAlone, medianError, medianOf, samplesSchema, takeStep } from './load-steps.ts';
import type { LoadStep } from './load-steps.ts';
import type { RuleContext } from './rule.ts';

const estimateSchema = z.object({ ohms: z.number(), error: z.number() });

/** Ohms with their standard error. */
export type Estimate = z.infer<typeof estimateSchema>;

const legSchema = z.object({
  /** Newest steps of this stay, oldest first. */
  steps: z.array(z.object({ ohms: z.number(), isResistive: z.boolean() })),
  /** Newest estimate, kept when a new stay begins until that has one of its own. */
  now: estimateSchema.nullable(),
  /** First picture of this connection. */
  first: estimateSchema.nullable(),
  firstAtMs: z.number(),
  /** Means over a minute and over ten, and the day's heaviest ten minutes. Amperes. */
  minuteAmps: z.number(),
  tenMinuteAmps: z.number(),
  heavyAmps: z.number(),
  /** A new stay has begun and it is not known yet whether this is the same connection. */
  isUnsure: z.boolean(),
});

const connectionSchema = z.object({
  samples: samplesSchema,
  legs: z.array(legSchema),
  deadSinceMs: z.number().nullable(),
  /** When a stay turned out to be on a connection of clearly more resistance than the last. */
  differs: z
    .object({ atMs: z.number(), leg: z.number(), beforeOhms: z.number(), nowOhms: z.number() })
    .nullable(),
});

export const connectionsSchema = z.record(z.string(), connectionSchema);

export type Connections = z.infer<typeof connectionsSchema>;
export type Connection = z.infer<typeof connectionSchema>;
export type ConnectionLeg = z.infer<typeof legSchema>;

const freshLeg = (): ConnectionLeg => ({
  steps: [],
  now: null,
  first: null,
  firstAtMs: 0,
  minuteAmps: 0,
  tenMinuteAmps: 0,
  heavyAmps: 0,
  isUnsure: false,
});

export const freshConnection = (legs: number): Connection => ({
  samples: [],
  legs: Array.from({ length: legs }, freshLeg),
  deadSinceMs: null,
  differs: null,
});

/** The most steps that a limit can ask for. */
const KEPT = 60;
/** No joint has so much, and no sound cord less than nothing: the supply itself has moved. */
const MOST_OHMS = 5;
const HEAVY_MS = 86_400_000;
/** Copper is a tenth more at 25 K warmer. */
const WARM_RATIO = 0.12;
/**
 * A difference below this many standard errors is chance: the question is asked anew at every step,
 * for days on end.
 */
const ERRORS = 3.5;

/** Whether `now` is clearly above `before`: beyond chance and beyond a warm cord. */
export function isClearlyAbove(now: Estimate, before: Estimate): boolean {
  const error = Math.hypot(now.error, before.error);
  return now.ohms - before.ohms > Math.max(ERRORS * error, WARM_RATIO * before.ohms);
}

/** The newest `count` steps, resistive ones alone where there are enough of them. */
function estimate(leg: ConnectionLeg, count: number): Estimate | null {
  const resistive = leg.steps.filter((own) => own.isResistive);
  const chosen = (resistive.length >= count ? resistive : leg.steps).slice(-count);
  if (chosen.length < count) return null;
  const ohms = chosen.map((own) => own.ohms);
  return { ohms: medianOf(ohms), error: medianError(ohms) };
}

/** A stay on another connection begins anew; the same one goes on with its first picture. */
function settle(leg: ConnectionLeg, now: Estimate, count: number): boolean {
  const before = leg.now;
  leg.isUnsure = false;
  if (before === null || leg.first === null) return false;
  const isHigher = isClearlyAbove(now, before) && now.ohms > 1.25 * before.ohms;
  const isLower = isClearlyAbove(before, now) && before.ohms > 1.25 * now.ohms;
  if (isHigher || isLower) leg.first = null;
  leg.steps = leg.steps.slice(-count);
  return isHigher;
}

function learn(context: RuleContext, own: Connection, number: number, step: LoadStep): void {
  const { limits } = context.boat;
  const leg = own.legs[number];
  const amps = step.amps[number] ?? 0;
  const ohms = -(step.volts[number] ?? 0) / amps;
  if (!leg || Math.abs(ohms) > MOST_OHMS) return;
  leg.steps = [...leg.steps.slice(1 - KEPT), { ohms, isResistive: step.isResistive }];
  const now = estimate(leg, limits.connectionSteps);
  if (now === null) return;
  if (leg.isUnsure) {
    const before = leg.now?.ohms ?? 0;
    if (settle(leg, now, limits.connectionSteps)) {
      own.differs = { atMs: context.nowMs, leg: number, beforeOhms: before, nowOhms: now.ohms };
    }
  }
  leg.now = now;
  // A later picture is a better first one only where it shows clearly less: the least of many
  // pictures would lie below the truth by chance alone.
  const picture = estimate(leg, limits.connectionBaselineSteps);
  if (picture && (leg.first === null || isClearlyAbove(leg.first, picture))) {
    if (leg.first === null) leg.firstAtMs = context.nowMs;
    leg.first = picture;
  }
}

function work(leg: ConnectionLeg, amps: number | null, passedMs: number): void {
  if (amps === null) return;
  const towards = (before: number, overMs: number): number =>
    before + (amps - before) * (1 - Math.exp(-passedMs / overMs));
  leg.minuteAmps = towards(leg.minuteAmps, 60_000);
  leg.tenMinuteAmps = towards(leg.tenMinuteAmps, 600_000);
  leg.heavyAmps = Math.max(leg.tenMinuteAmps, leg.heavyAmps * Math.exp(-passedMs / HEAVY_MS));
}

function noteStay(boat: Boat, own: Connection, state: SourceState, nowMs: number): void {
  if (state.legs.every((leg) => leg.live === 'dead')) own.deadSinceMs ??= nowMs;
  const { deadSinceMs } = own;
  if (deadSinceMs === null || !state.legs.some((leg) => leg.live === 'live')) return;
  own.deadSinceMs = null;
  if (nowMs - deadSinceMs < boat.limits.stayDeadMinutes * 60_000) return;
  for (const leg of own.legs) {
    leg.isUnsure = leg.now !== null;
    leg.steps = [];
    leg.heavyAmps = 0;
    leg.tenMinuteAmps = 0;
  }
}

/** Takes in what the inlet shows at this instant. */
export function noteConnection(context: RuleContext, state: SourceState, own: Connection): void {
  noteStay(context.boat, own, state, context.nowMs);
  state.legs.forEach((leg, i) => {
    const memory = own.legs[i];
    if (memory) work(memory, leg.amps.value, context.passedMs);
  });
  const step = takeStep(context, state, own.samples);
  const number = step && legAlone(step);
  if (step && number !== null) learn(context, own, number, step);
}
