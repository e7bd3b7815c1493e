/**
 * Jumps of a leg's volts while its current stands still, counted by the minute: with a load on it,
 * and with hardly any. What the dock and the meter do by themselves shows at rest as well; what a
 * contact does under current shows only then.
 */
import * as z from 'zod';
import type { Boat } from '../boat/boat.ts';
import { medianOf } from './load-steps.ts';

const sampleSchema = z.object({ atMs: z.number(), volts: z.number(), amps: z.number() });
const spanSchema = z.object({ ms: z.number(), jumps: z.number() });

export const flickerLegSchema = z.object({
  /** Newest readings, oldest first; a pair is judged once the current after it is known. */
  samples: z.array(sampleSchema),
  /** Mean square of the change from one reading to the next at rest, V²; how many went into it. */
  restSquare: z.number(),
  restPairs: z.number(),
  /** When it last was at rest. */
  restAtMs: z.number(),
  /** Since when it is without voltage; null while it has some. */
  deadSinceMs: z.number().nullable(),
  /** The minute that is being counted. */
  minute: spanSchema,
  /** Jumps in each of the newest loaded minutes, and when it ended. */
  loaded: z.array(z.object({ atMs: z.number(), jumps: z.number() })),
  /** What the newest flickering minute showed; null once enough loaded minutes were quiet. */
  flicker: z.object({ jumps: z.number(), amps: z.number(), volts: z.number() }).nullable(),
  /** Loaded minutes without flicker since. */
  quiet: z.number(),
  /** The spell of load that stands still: its first volts, its newest, and since when. */
  spell: z
    .object({ sinceMs: z.number(), amps: z.number(), first: z.number(), now: z.number() })
    .nullable(),
});

export type FlickerLeg = z.infer<typeof flickerLegSchema>;
type Sample = z.infer<typeof sampleSchema>;

export const freshFlickerLeg = (): FlickerLeg => ({
  samples: [],
  restSquare: 0,
  restPairs: 0,
  restAtMs: 0,
  deadSinceMs: null,
  minute: { ms: 0, jumps: 0 },
  loaded: [],
  flicker: null,
  quiet: 0,
  spell: null,
});

const MINUTE_MS = 60_000;
/** A slower sensor cannot see several jumps a minute. */
const SLOWEST_MS = 5000;
/** So many changes at rest are a picture of it; it follows the last ten minutes of rest. */
const REST_PAIRS = 300;
const REST_PAIRS_MOST = 600;
/** A dock is noisier by day than by night: a picture of rest says nothing of later hours. */
const REST_LASTS_MS = 3_600_000;
/** Far beyond what happens at rest, as a multiple of its root mean square change. */
const BEYOND_NOISE = 4;
const KEPT = 5;
/** Minutes with a load, within so long, that must agree. */
const MINUTES = 3;
const RECENT_MS = 15 * 60_000;
/** Loaded minutes without flicker after which it is over: it comes and goes. */
const QUIET_MINUTES = 10;
/** A current that stays within this is the same load. */
const STEADY_AMPS = 0.5;
const STEADY_RATIO = 0.03;
/** Volts at the beginning and the end of a spell are means over about so long. */
const SETTLE_MS = 30_000;

const areSteady = (samples: readonly Sample[]): boolean => {
  const amps = samples.map((own) => own.amps);
  const [least, most] = [Math.min(...amps), Math.max(...amps)];
  return most - least <= Math.max(STEADY_AMPS, STEADY_RATIO * most);
};

/** Whether its rest is known well enough to hold a load against it. */
const knowsRest = ({ restPairs, restAtMs }: FlickerLeg, nowMs: number): boolean =>
  restPairs >= REST_PAIRS && nowMs - restAtMs <= REST_LASTS_MS;

/** Volts above which a change counts as a jump. */
const jumpVolts = ({ ac, limits }: Boat, { restSquare }: FlickerLeg): number =>
  Math.max(limits.flickerJumpRatio * (ac?.volts ?? 0), BEYOND_NOISE * Math.sqrt(restSquare));

/** Takes in one reading of a leg. */
export function takeSample(leg: FlickerLeg, boat: Boat, sample: Sample): void {
  const last = leg.samples.at(-1);
  if (last && sample.atMs <= last.atMs) return;
  if (sample.volts < boat.limits.liveRatio * (boat.ac?.volts ?? 0)) {
    leg.deadSinceMs ??= sample.atMs;
    leg.samples = [];
    leg.spell = null;
    return;
  }
  // It may be another dock.
  const deadMs = leg.deadSinceMs === null ? 0 : sample.atMs - leg.deadSinceMs;
  if (deadMs >= boat.limits.stayDeadMinutes * 60_000) Object.assign(leg, freshFlickerLeg());
  leg.deadSinceMs = null;
  if (last && sample.atMs - last.atMs > SLOWEST_MS) leg.samples = [];
  leg.samples = [...leg.samples.slice(-3), sample];
  const [, from, to] = leg.samples;
  if (leg.samples.length < 4 || !from || !to) return;
  const isSteady = areSteady(leg.samples);
  if (isSteady) judge(leg, boat, from, to);
  followSpell(leg, boat, to, isSteady);
}

function judge(leg: FlickerLeg, boat: Boat, from: Sample, to: Sample): void {
  const change = Math.abs(to.volts - from.volts);
  if (to.amps <= boat.limits.flickerRestAmps) {
    leg.restPairs = Math.min(leg.restPairs + 1, REST_PAIRS_MOST);
    leg.restSquare += (change ** 2 - leg.restSquare) / leg.restPairs;
    leg.restAtMs = to.atMs;
  }
  if (to.amps < boat.limits.flickerAmps) return;
  if (!knowsRest(leg, to.atMs)) return;
  leg.minute.ms += to.atMs - from.atMs;
  if (change > jumpVolts(boat, leg)) leg.minute.jumps += 1;
  if (leg.minute.ms < MINUTE_MS) return;
  leg.loaded = [...leg.loaded.slice(1 - KEPT), { atMs: to.atMs, jumps: leg.minute.jumps }];
  leg.minute = { ms: 0, jumps: 0 };
  endMinute(leg, boat, to);
}

function endMinute(leg: FlickerLeg, boat: Boat, { atMs, amps }: Sample): void {
  const { flickersPerMinute } = boat.limits;
  const recent = leg.loaded.filter((own) => atMs - own.atMs <= RECENT_MS);
  const jumps = medianOf(recent.map((own) => own.jumps));
  if (recent.length >= MINUTES && jumps >= flickersPerMinute) {
    leg.flicker = { jumps, amps, volts: jumpVolts(boat, leg) };
  }
  const isQuiet = (leg.loaded.at(-1)?.jumps ?? 0) < flickersPerMinute / 2;
  leg.quiet = isQuiet ? leg.quiet + 1 : 0;
  if (leg.quiet >= QUIET_MINUTES) leg.flicker = null;
}

/** Another load, or none, begins anew. */
function followSpell(leg: FlickerLeg, boat: Boat, at: Sample, isSteady: boolean): void {
  const { spell } = leg;
  const isSame =
    spell !== null &&
    Math.abs(at.amps - spell.amps) <= Math.max(2 * STEADY_AMPS, 2 * STEADY_RATIO * spell.amps);
  if (at.amps < boat.limits.flickerAmps || (spell !== null && !isSame)) {
    leg.spell = null;
    return;
  }
  if (spell === null) {
    if (isSteady) leg.spell = { sinceMs: at.atMs, amps: at.amps, first: at.volts, now: at.volts };
    return;
  }
  const before = leg.samples[1]?.atMs ?? at.atMs;
  const share = 1 - Math.exp(-(at.atMs - before) / SETTLE_MS);
  spell.now += share * (at.volts - spell.now);
  if (at.atMs - spell.sinceMs < 2 * SETTLE_MS) spell.first = spell.now;
}
