/**
 * How warm the breaker of a leg is and when it is likely to trip. Two replicas are followed, the
 * quickest and the slowest that its standard reasonably allows; their middle is the estimate that
 * raises an alarm. A warning aid: breakers differ, and a hot panel trips earlier.
 */
import type { Breaker } from '../boat/boat.ts';
import type { BreakerWarmth, ThermalReplica, TripRange } from '../electrical/index.ts';
import { COLD_BREAKER, replicasOf, tripRange, warmthAfter } from '../electrical/index.ts';

/** Warmth of each leg's breaker by `part.leg`, with the current that flows since then. */
export type WarmthMemory = Record<string, BreakerWarmth & { amps: number | null }>;

/** A breaker that carries less than this share of its rating and is cold need not be followed. */
const IDLE_RATIO = 0.3;
const COLD = 0.01;

const found = new WeakMap<Breaker, ReturnType<typeof replicasOf>>();

/** The two replicas of a breaker, worked out once: they are asked for every second. */
function replicas(breaker: Breaker): ReturnType<typeof replicasOf> {
  let own = found.get(breaker);
  if (own === undefined) found.set(breaker, (own = replicasOf(breaker)));
  return own;
}

/** Warmth after `amps` for `passedMs`; an unknown current leaves it as it was. */
function warmed(
  before: BreakerWarmth,
  amps: number | null,
  passedMs: number,
  own: NonNullable<ReturnType<typeof replicasOf>>,
): BreakerWarmth {
  if (amps === null || passedMs <= 0) return before;
  const after = (warmth: number, replica: ThermalReplica): number =>
    warmthAfter(warmth, Math.max(0, amps), passedMs / 1000, replica) ?? warmth;
  return { quick: after(before.quick, own.quick), slow: after(before.slow, own.slow) };
}

/**
 * Follows one breaker over the `passedMs` since the evaluation before, at the current it had then.
 * Returns its warmth now; an unknown current leaves it as it was. Null for a fuse.
 */
export function follow(
  memory: WarmthMemory,
  key: string,
  breaker: Breaker,
  amps: number | null,
  passedMs: number,
): BreakerWarmth | null {
  const own = replicas(breaker);
  if (own === null) return null;
  const before = memory[key];
  const isIdle = amps !== null && amps < breaker.ampsRated * IDLE_RATIO;
  if (!before && (amps === null || isIdle)) return COLD_BREAKER;
  const warmth = warmed(before ?? COLD_BREAKER, before?.amps ?? null, passedMs, own);
  if (isIdle && warmth.quick < COLD && warmth.slow < COLD) delete memory[key];
  else memory[key] = { quick: warmth.quick, slow: warmth.slow, amps };
  return warmth;
}

/** Share of the way to a trip, in the middle of the two replicas; 1 is a trip. */
export const tripEstimate = (warmth: BreakerWarmth): number => (warmth.quick + warmth.slow) / 2;

/** `40 s`, `6 min`, `2 h`. */
function about(seconds: number): string {
  if (seconds < 90) return `${Math.max(5, Math.round(seconds / 5) * 5)} s`;
  if (seconds < 5400) return `${Math.round(seconds / 60)} min`;
  return `${Math.round(seconds / 3600)} h`;
}

/** A range in words: `About 6 to 15 min to a likely trip.` Null where nothing can be said. */
export function tripWords(range: TripRange | null): string | null {
  if (range === null) return null;
  const { earliestSeconds, latestSeconds } = range;
  if (earliestSeconds === 'never') return null;
  if (latestSeconds === 'never') {
    return earliestSeconds < 5
      ? 'It may trip at any moment, or go on to hold.'
      : `It may trip in about ${about(earliestSeconds)}, or go on to hold.`;
  }
  if (latestSeconds < 5) return 'A trip is likely at any moment.';
  const first = earliestSeconds < 5 ? '0 s' : about(earliestSeconds);
  const last = about(latestSeconds);
  if (first === last) return `About ${last} to a likely trip.`;
  const [number, unit] = first.split(' ');
  const isSameUnit = last.endsWith(` ${unit ?? ''}`);
  return `About ${isSameUnit ? (number ?? '') : first} to ${last} to a likely trip.`;
}

/** Time to a trip if `amps` flows on through a breaker of this warmth; null where it cannot be told. */
export const timeToTrip = (
  warmth: BreakerWarmth | null,
  amps: number | null,
  breaker: Breaker,
): TripRange | null =>
  warmth === null || amps === null ? null : tripRange(warmth, Math.max(0, amps), breaker);
