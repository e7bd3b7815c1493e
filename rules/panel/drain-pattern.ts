/**
 * What a bank is usually drained by: the mean of the last hours, how far half-hours differ from it,
 * and the pattern of the day. A fridge that comes and goes moves none of them much, which the
 * current of the instant cannot be said of. Amperes, positive out of the bank.
 */
import { z } from 'zod';

const sumSchema = z.object({ ampMs: z.number(), ms: z.number() });

export const drainPatternSchema = z.object({
  /** Decaying sums over the last hours. */
  recent: sumSchema,
  /** The half-hour that is filling. */
  half: sumSchema,
  /** Mean of the squared differences of half-hours from the recent mean, decaying. */
  wander: z.number(),
  halves: z.number(),
  /** Mean drain of each hour of the day (UTC), and on how many days it was seen; null for none. */
  hours: z.array(z.object({ amps: z.number(), days: z.number() }).nullable()).length(24),
  /** The hour that is filling. */
  hour: sumSchema.extend({ index: z.number() }),
  lastMs: z.number().nullable(),
});

/** Plain JSON, kept over a restart. */
export type DrainPattern = z.infer<typeof drainPatternSchema>;

export const freshPattern = (): DrainPattern => ({
  recent: { ampMs: 0, ms: 0 },
  half: { ampMs: 0, ms: 0 },
  wander: 0,
  halves: 0,
  hours: Array.from({ length: 24 }, () => null),
  hour: { ampMs: 0, ms: 0, index: -1 },
  lastMs: null,
});

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
/** The recent mean forgets with this; several cycles of a fridge. */
const RECENT_MS = 3 * HOUR_MS;
/** After a longer break the old mean counts for no more than `PRIOR_MS` of watching. */
const BREAK_MS = 2 * HOUR_MS;
const PRIOR_MS = 30 * MINUTE_MS;
/** The pattern of the day is that of the last three days or so. */
const PATTERN_DAYS = 3;
/** Half-hours that the wander remembers. */
const WANDER_HALVES = 12;

const meanOf = (own: { ampMs: number; ms: number }): number => own.ampMs / own.ms;

/** Takes a drain of `amps` that has lasted for `passedMs`. Changes `pattern`. */
export function learnDrain(
  pattern: DrainPattern,
  amps: number,
  passedMs: number,
  nowMs: number,
): void {
  if (pattern.lastMs !== null && nowMs - pattern.lastMs - passedMs > BREAK_MS) weaken(pattern);
  pattern.lastMs = nowMs;
  if (passedMs <= 0) return;
  const { recent, half } = pattern;
  const keep = Math.exp(-passedMs / RECENT_MS);
  recent.ampMs = recent.ampMs * keep + amps * passedMs;
  recent.ms = recent.ms * keep + passedMs;
  half.ampMs += amps * passedMs;
  half.ms += passedMs;
  if (half.ms >= 30 * MINUTE_MS) endHalf(pattern);
  learnHour(pattern, amps, passedMs, nowMs);
}

function weaken({ recent }: DrainPattern): void {
  if (recent.ms <= PRIOR_MS) return;
  recent.ampMs *= PRIOR_MS / recent.ms;
  recent.ms = PRIOR_MS;
}

function endHalf(pattern: DrainPattern): void {
  const off = meanOf(pattern.half) - meanOf(pattern.recent);
  pattern.halves = Math.min(WANDER_HALVES, pattern.halves + 1);
  pattern.wander += (off * off - pattern.wander) / pattern.halves;
  pattern.half = { ampMs: 0, ms: 0 };
}

function learnHour(pattern: DrainPattern, amps: number, passedMs: number, nowMs: number): void {
  const index = hourOf(nowMs);
  if (pattern.hour.index !== index) {
    // An hour that was hardly seen says nothing of that time of day.
    if (pattern.hour.ms >= 30 * MINUTE_MS) endHour(pattern);
    pattern.hour = { ampMs: 0, ms: 0, index };
  }
  pattern.hour.ampMs += amps * passedMs;
  pattern.hour.ms += passedMs;
}

function endHour({ hours, hour }: DrainPattern): void {
  const before = hours[hour.index];
  const days = Math.min(PATTERN_DAYS, (before?.days ?? 0) + 1);
  const amps = before ? before.amps + (meanOf(hour) - before.amps) / days : meanOf(hour);
  hours[hour.index] = { amps, days };
}

export const hourOf = (atMs: number): number => Math.floor(atMs / HOUR_MS) % 24;

/** Mean of the last hours; null before a minute has been seen. */
export function recentDrainAmps({ recent }: DrainPattern): number | null {
  return recent.ms < MINUTE_MS ? null : meanOf(recent);
}

/** Least spread that is ever claimed: people do not do the same every day. */
const LEAST_SPREAD = 0.1;
const MOST_SPREAD = 0.6;

/** How far the mean over `hours` may differ from the recent one, as a share of it. */
export function drainSpread(pattern: DrainPattern, hours: number): number {
  const mean = Math.abs(recentDrainAmps(pattern) ?? 0);
  const youth = 0.5 * Math.exp(-pattern.recent.ms / (45 * MINUTE_MS));
  // Half-hours above and below the mean even out over a longer time.
  const wander =
    mean > 0 ? Math.sqrt(pattern.wander) / mean / Math.sqrt(Math.max(1, hours * 2)) : 0;
  return Math.min(MOST_SPREAD, Math.hypot(LEAST_SPREAD, youth, wander));
}
