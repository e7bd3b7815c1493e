/**
 * A chart as the page asks for it: least, greatest, mean and count of each bucket that has readings,
 * so that no spike is lost when many readings share a pixel.
 */
import type { HistoryReader } from './history/history.ts';

export interface HistoryQuery {
  points: readonly string[];
  /** First instant, ms. */
  fromMs: number;
  /** Instant after the last, ms. */
  toMs: number;
  /** At most so many buckets of equal width, counted from `fromMs`. */
  buckets: number;
}

/**
 * Start of the bucket (ms), least, greatest, arithmetic mean and count of its readings, and the share
 * of the bucket in which a value was known, 0..1.
 */
export type Bucket = [
  atMs: number,
  min: number,
  max: number,
  mean: number,
  count: number,
  coverage: number,
];

export interface HistorySeries {
  pointId: string;
  /** In order of time; a bucket without readings is left out. Words are not in it. */
  buckets: Bucket[];
}

export interface History {
  /** Rounded down to a whole minute, quarter, hour or day where buckets are as wide as that. */
  fromMs: number;
  toMs: number;
  /** Whole milliseconds. */
  bucketMs: number;
  series: HistorySeries[];
}

/** Rejects with `signal`'s reason when it aborts, and with what SQLite throws. */
export async function historyOf(
  reader: HistoryReader,
  query: HistoryQuery,
  signal?: AbortSignal,
): Promise<History> {
  const { fromMs, toMs, bucketMs, series } = await reader.buckets(query, signal);
  return {
    fromMs,
    toMs,
    bucketMs,
    series: series.map(({ pointId, buckets }) => ({
      pointId,
      buckets: buckets
        .filter(({ count }) => count > 0)
        .map(({ atMs, min, max, mean, count, coveredMs }): Bucket => {
          // The last bucket may reach past the end of what was asked for.
          const widthMs = Math.min(bucketMs, toMs - atMs);
          return [atMs, min, max, mean, count, Math.min(1, coveredMs / widthMs)];
        }),
    })),
  };
}
