/**
 * What a load drew on each of the last days while it ran: means of watts, amperes and volts. Small
 * and plain, for rules that look for a slow change. Days begin at midnight UTC.
 */
const DAY_MS = 86_400_000;
const DAYS_KEPT = 28;
/** A day on which it ran less than this says nothing. */
const LEAST_MS = 600_000;
/** From then on the present day speaks for itself. */
const ENOUGH_MS = 1_800_000;

export interface RunningMean {
  amps: number;
  /** Null where no watts are measured. */
  watts: number | null;
  /** Null where the volts were not known. */
  volts: number | null;
}

interface Sums {
  day: number;
  ms: number;
  ampMs: number;
  wattMs: number;
  wattsKnownMs: number;
  voltMs: number;
  voltsKnownMs: number;
}

/** Plain JSON, kept over a restart. */
export interface RunningDays {
  today: Sums;
  /** Oldest first. */
  days: (RunningMean & { day: number })[];
}

const freshSums = (day: number): Sums => ({
  day,
  ms: 0,
  ampMs: 0,
  wattMs: 0,
  wattsKnownMs: 0,
  voltMs: 0,
  voltsKnownMs: 0,
});

export const freshRunningDays = (): RunningDays => ({ today: freshSums(0), days: [] });

function meanOf(sums: Sums): RunningMean {
  // A quantity counts only where it was known most of the time.
  const of = (sum: number, knownMs: number): number | null =>
    knownMs > sums.ms / 2 ? sum / knownMs : null;
  return {
    amps: sums.ampMs / sums.ms,
    watts: of(sums.wattMs, sums.wattsKnownMs),
    volts: of(sums.voltMs, sums.voltsKnownMs),
  };
}

/** Adds `passedMs` of running up to `nowMs`. */
export function addRunning(
  own: RunningDays,
  mean: RunningMean,
  passedMs: number,
  nowMs: number,
): void {
  const day = Math.floor(nowMs / DAY_MS);
  if (own.today.day !== day) {
    if (own.today.ms >= LEAST_MS) own.days.push({ day: own.today.day, ...meanOf(own.today) });
    if (own.days.length > DAYS_KEPT) own.days.shift();
    own.today = freshSums(day);
  }
  const { today } = own;
  today.ms += passedMs;
  today.ampMs += mean.amps * passedMs;
  if (mean.watts !== null) {
    today.wattMs += mean.watts * passedMs;
    today.wattsKnownMs += passedMs;
  }
  if (mean.volts !== null) {
    today.voltMs += mean.volts * passedMs;
    today.voltsKnownMs += passedMs;
  }
}

/** What it draws these days: today, once it has run for half an hour, else its last day. */
export function recentMean(own: RunningDays): RunningMean | null {
  return own.today.ms >= ENOUGH_MS ? meanOf(own.today) : (own.days.at(-1) ?? null);
}

/** Days too new to be called usual, and fewest that must be known besides them. */
const NEWEST = 2;
const LEAST_DAYS = 3;

/**
 * What it usually drew: the value of `pick` that `share` (0..1) of its days do not exceed, without
 * the newest two. Null while fewer than three such days are known.
 */
export function usual(
  own: RunningDays,
  pick: (mean: RunningMean) => number | null,
  share: number,
): number | null {
  const values = own.days
    .slice(0, -NEWEST)
    .map(pick)
    .filter((value) => value !== null)
    .sort((a, b) => a - b);
  if (values.length < LEAST_DAYS) return null;
  return values[Math.round((values.length - 1) * share)] ?? null;
}
