/**
 * What a circuit's habits rest on: the run or rest it is in, counts of the last hour and day, its
 * learned current, and a few numbers for each day. Plain JSON of one or two kilobytes a circuit.
 * Days are counted from midnight UTC, for the rules know no time zone.
 */
import type { Bucket } from './duty-windows.ts';

/** What a reading can tell of a load. `idle` draws, but too little to be its load at work. */
export type KnownPhase = 'running' | 'starting' | 'idle' | 'not drawing';

/** One stretch of running, or of not running. */
export interface Stretch {
  /** When it began; null where its beginning was not seen. */
  sinceMs: number | null;
  /** Time in it that was seen; gaps in the readings add nothing. */
  seenMs: number;
}

/** What one day comes to, once it is over. */
export interface HabitDay {
  day: number;
  /** Share of the known time that it ran, 0..1. */
  dutyRatio: number;
  starts: number;
  longestRunMs: number;
  longestRestMs: number;
  /** Mean length of the runs whose beginning and end were both seen; null without any. */
  meanRunMs: number | null;
}

/** The day that is being counted. */
export interface HabitToday {
  day: number;
  runMs: number;
  knownMs: number;
  starts: number;
  longestRunMs: number;
  longestRestMs: number;
  endedRuns: number;
  endedRunMs: number;
}

/** Medians of the boat's own days. */
export interface HabitNormal {
  /** Days they rest on. */
  days: number;
  dutyRatio: number;
  startsPerDay: number;
  longestRunMs: number;
  longestRestMs: number;
  /** How long one run usually lasts; null where no whole run was seen. */
  typicalRunMs: number | null;
  /** Longest rest of any of the days. */
  longestRestMsMost: number;
}

export interface HabitMemory {
  /** Instant of the newest reading that was counted. */
  atMs: number;
  phase: KnownPhase;
  amps: number;
  /** The stretch it is in: of running, or of not running. */
  stretch: Stretch;
  lastStartMs: number | null;
  hour: Bucket[];
  day: Bucket[];
  today: HabitToday;
  /** Whole days, oldest first, at most 14. */
  days: HabitDay[];
  /** Duty of each past week, oldest first, at most 10, and how many days the present one has. */
  weeks: number[];
  daysOfWeek: number;
  /** Newest runs that were seen whole: end and length. */
  runs: [endMs: number, ranMs: number][];
  /** The settled current that is being averaged: ampere-milliseconds and milliseconds. */
  settling: { ampMs: number; ms: number };
  /** Newest settled currents, oldest first. */
  levels: number[];
  /** Highest reading of the start that is going on. */
  peakAmps: number;
  /** Newest start peaks that stood out. */
  peaks: number[];
  /** Median of the levels of its load at work; null until learned. */
  runningAmps: number | null;
  normal: HabitNormal | null;
}

/** A copy that later changes do not reach. Whole days and runs never change, so they are shared. */
export function copyHabit(memory: HabitMemory): HabitMemory {
  const copyBucket = ([number, runMs, knownMs, starts]: Bucket): Bucket => [
    number,
    runMs,
    knownMs,
    starts,
  ];
  return {
    ...memory,
    stretch: { ...memory.stretch },
    hour: memory.hour.map(copyBucket),
    day: memory.day.map(copyBucket),
    today: { ...memory.today },
    days: [...memory.days],
    weeks: [...memory.weeks],
    runs: [...memory.runs],
    settling: { ...memory.settling },
    levels: [...memory.levels],
    peaks: [...memory.peaks],
  };
}

/** Middle value, or null of none. */
export function median(values: readonly number[]): number | null {
  if (values.length === 0) return null;
  const sorted = [...values].sort((a, b) => a - b);
  const middle = Math.floor(sorted.length / 2);
  const high = sorted[middle] ?? 0;
  return sorted.length % 2 === 1 ? high : ((sorted[middle - 1] ?? 0) + high) / 2;
}
