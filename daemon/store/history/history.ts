/**
 * What the history of readings offers to the rest of the daemon. Types only; `openHistory` in
 * history-engine.ts is behind them.
 *
 * How it is kept. A reading waits in memory and goes into a journal file within ten seconds. Once an
 * hour is over, its readings leave the journal for `history.db`: one compressed chunk a point and
 * hour, and with it the minutes of that hour (least, greatest, mean, ...). A day later the minutes
 * are folded into quarters of an hour, hours and days. Chunks are deleted by age and by size; what
 * was folded is kept for ever, and so are the clips around alerts and changes of source.
 *
 * All instants here are present instants of the daemon's clock (see time-axis.ts), in milliseconds.
 * An interval includes its first instant and excludes its last.
 */
import type { StoredReading } from '../reading-buffer.ts';

export type { StoredReading } from '../reading-buffer.ts';

/** Widths of the tiers, ms: a minute, a quarter of an hour, an hour, a day of the stored clock. */
export const TIERS_MS = [60_000, 900_000, 3_600_000, 86_400_000] as const;
export type TierMs = (typeof TIERS_MS)[number];

/**
 * One bucket of a chart or one row of a tier, over numbers only. Words (positions of switches) have
 * no arithmetic and are in `readings` alone.
 */
export interface Rollup {
  /** Start of the bucket, ms. */
  atMs: number;
  /** Readings in it; at least 1, or 0 where only a line between two readings crosses it. */
  count: number;
  /** Of its readings; of the crossing line where `count` is 0. */
  min: number;
  max: number;
  /** Arithmetic mean of its readings. */
  mean: number;
  /** Its newest reading. */
  last: number;
  /** How long a value was known within the bucket, ms: between readings that are not too far apart. */
  coveredMs: number;
  /**
   * Area under the line through the readings over the covered time, in the point's unit times
   * seconds: amperes give ampere seconds (coulombs), watts give joules. Nothing is made up for the
   * time that is not covered: `integral / coveredMs` is the mean power while it was known.
   */
  integral: number;
}

export interface BucketsQuery {
  points: readonly string[];
  fromMs: number;
  toMs: number;
  /** At most so many buckets of equal width. */
  buckets: number;
}

export interface BucketSeries {
  pointId: string;
  /** In order of time. A bucket in which nothing was known is left out: a gap stays a gap. */
  buckets: Rollup[];
}

export interface Buckets {
  /**
   * Start of the first bucket. From chunks it is what was asked for; from a tier it is rounded down
   * to the tier, and `bucketMs` is a multiple of the tier.
   */
  fromMs: number;
  toMs: number;
  bucketMs: number;
  /** Where the answer came from: 0 is single readings, else the tier's width in ms. */
  tierMs: 0 | TierMs;
  series: BucketSeries[];
}

export interface ReadingsQuery {
  points: readonly string[];
  fromMs: number;
  toMs: number;
}

export interface RollupsQuery extends ReadingsQuery {
  tierMs: TierMs;
}

/** Full detail that is never pruned: 60 s before to 120 s after what it is about. */
export interface Clip {
  fromMs: number;
  toMs: number;
  /** When it happened. */
  atMs: number;
  /** The alert's id, or the panel event's sentence. */
  about: string;
}

/** What is kept, for `panelward history info`. */
export interface HistoryInfo {
  /** Of the oldest and newest chunk, journal and memory included; null without any reading. */
  firstMs: number | null;
  lastMs: number | null;
  /** Readings in chunks and in the journal. */
  readings: number;
  /** Readings that were deleted by age or size, since the file was made. */
  readingsPruned: number;
  /** Bytes in use of `history.db` (free pages left out) with its write-ahead log and the journal. */
  bytes: number;
  /** `bytes` of the database over readings in chunks; null without a chunk. */
  bytesPerReading: number | null;
  /** Known time of all points over the time since each was first heard, 0..1; null without any. */
  coverage: number | null;
  clips: number;
  oldestClipMs: number | null;
  /** Single readings older than this were pruned, clips excepted; null if none were. */
  prunedBeforeMs: number | null;
  /** Chunks whose checksum did not match when they were read, since start. */
  damagedChunks: number;
  /** Readings still in the table of an older version, which are being taken over. */
  oldRows: number;
}

/** Every call answers from the disk and from what is not yet there, each reading once. */
export interface HistoryReader {
  /**
   * A chart. Single readings if a bucket is narrower than a minute, else the widest tier that is
   * not wider than a bucket. Where single readings were pruned, minutes are the best there is.
   * Works in slices and lets the daemon breathe between them. Rejects with `signal`'s reason when
   * it aborts, and with what SQLite says when the file cannot be read.
   */
  buckets(query: BucketsQuery, signal?: AbortSignal): Promise<Buckets>;
  /**
   * Every reading as it came, words too, in order of time (at one instant in the order of
   * `query.points`), in batches of at most a few thousand. Memory does not grow with the span:
   * one hour of the points asked for is held at a time. Readings that come while it runs may or
   * may not be in it. A consumer that stops early (`break`) frees everything.
   */
  readings(query: ReadingsQuery, signal?: AbortSignal): AsyncIterable<readonly StoredReading[]>;
  /** Rows of one tier whose start lies in the span, in order of time; a row without data is left out. */
  rollups(query: RollupsQuery, signal?: AbortSignal): Promise<BucketSeries[]>;
  /** Clips that touch the span, oldest first, at most `limit`. */
  clips(query: { fromMs: number; toMs: number; limit: number }): Clip[];
  /** Ids of all points that were ever kept, in alphabetical order. */
  points(): string[];
  info(): Promise<HistoryInfo>;
}

/** How long single readings are kept. Whichever comes first. */
export interface Retention {
  /** Default 396 days: thirteen months. */
  ageMs: number;
  /** Bytes in use of `history.db`; default 4 GiB. The last day is never deleted for it. */
  bytes: number;
}

export const DEFAULT_RETENTION: Retention = { ageMs: 396 * 86_400_000, bytes: 4 * 1024 ** 3 };
