/**
 * Readings to equal buckets of time: count, least, greatest, sum, newest, and the area under the
 * line through the readings with the time for which that line is known. The same arithmetic makes
 * the minutes of an hour, the wider tiers out of minutes, and the buckets of a chart.
 */
import type { Column } from './chunk.ts';
import type { Rollup } from './history.ts';

/** Between two readings further apart than three usual steps nothing is known, within these bounds. */
const GAP_STEPS = 3;
const GAP_LEAST_MS = 5000;
export const GAP_MOST_MS = 60_000;
const BIN_MS = 250;

/** A point that is expected less often than once a minute: its own limit, an hour at most. */
const SLOW_GAP_MOST_MS = 3_600_000;

/** The longest gap that is no gap, for a point that is expected every so many ms. */
export function slowGapMs(expectedEveryMs: number): number {
  const gapMs = GAP_STEPS * expectedEveryMs;
  return gapMs > GAP_MOST_MS ? Math.min(SLOW_GAP_MOST_MS, gapMs) : 0;
}

/**
 * How far apart two readings may be for the time between them to be known, ms. `slowMs`: what
 * `slowGapMs` says of the point; 0 for one that speaks once a minute or more often.
 */
export function gapLimitMs(times: ArrayLike<number>, slowMs = 0): number {
  if (slowMs > 0) return slowMs;
  const bins = new Uint32Array(GAP_MOST_MS / BIN_MS + 1);
  for (let at = 1; at < times.length; at++) {
    const step = (times[at] ?? 0) - (times[at - 1] ?? 0);
    const bin = Math.min(bins.length - 1, Math.floor(step / BIN_MS));
    bins[bin] = (bins[bin] ?? 0) + 1;
  }
  let left = (times.length - 1) / 2;
  const median = bins.findIndex((count) => (left -= count) <= 0);
  const usualMs = (Math.max(0, median) + 1) * BIN_MS;
  return Math.min(GAP_MOST_MS, Math.max(GAP_LEAST_MS, GAP_STEPS * usualMs));
}

/** Equal buckets that fill up; instants outside of them are ignored. */
export class Accumulator {
  readonly fromMs: number;
  readonly widthMs: number;
  readonly length: number;
  /** Nothing from this instant on is taken. */
  readonly toMs: number;
  readonly count: Float64Array;
  readonly min: Float64Array;
  readonly max: Float64Array;
  readonly sum: Float64Array;
  readonly last: Float64Array;
  readonly coveredMs: Float64Array;
  readonly integral: Float64Array;

  /** `toMs`: where the last bucket ends, if that is before its width is full. */
  constructor(fromMs: number, widthMs: number, length: number, toMs = Infinity) {
    this.fromMs = fromMs;
    this.toMs = Math.min(toMs, fromMs + length * widthMs);
    this.widthMs = widthMs;
    this.length = length;
    this.count = new Float64Array(length);
    this.min = new Float64Array(length).fill(Infinity);
    this.max = new Float64Array(length).fill(-Infinity);
    this.sum = new Float64Array(length);
    this.last = new Float64Array(length);
    this.coveredMs = new Float64Array(length);
    this.integral = new Float64Array(length);
  }

  /** All numbers of a column, each with the line from the one before, and the line to `after`. */
  addColumn(
    { times, values }: Column,
    shiftMs: number,
    gapMs: number,
    before: Before,
    after: Before = null,
  ): Before {
    let [beforeMs, beforeValue] = before ?? [-Infinity, 0];
    for (let at = 0; at < times.length; at++) {
      const value = values[at];
      if (typeof value !== 'number') continue;
      const atMs = (times[at] ?? 0) + shiftMs;
      if (atMs >= this.fromMs && beforeMs < this.toMs) {
        if (atMs - beforeMs <= gapMs) this.#addLine(beforeMs, beforeValue, atMs, value);
        this.#addReading(atMs, value);
      }
      beforeMs = atMs;
      beforeValue = value;
    }
    if (after !== null && after[0] + shiftMs - beforeMs <= gapMs) {
      this.#addLine(beforeMs, beforeValue, after[0] + shiftMs, after[1]);
    }
    return beforeMs === -Infinity ? before : [beforeMs, beforeValue];
  }

  /** What several readings come to, wherever the bucket of `atMs` is. */
  addRow(rows: Accumulator, at: number, shiftMs: number): void {
    const startMs = rows.fromMs + at * rows.widthMs + shiftMs;
    const bucket = Math.floor((startMs - this.fromMs) / this.widthMs);
    if (bucket < 0 || bucket >= this.length) return;
    const count = rows.count[at] ?? 0;
    if (count > 0) {
      this.#bound(bucket, rows.min[at] ?? 0, rows.max[at] ?? 0);
      add(this.count, bucket, count);
      add(this.sum, bucket, rows.sum[at] ?? 0);
      this.last[bucket] = rows.last[at] ?? 0;
    }
    add(this.coveredMs, bucket, rows.coveredMs[at] ?? 0);
    add(this.integral, bucket, rows.integral[at] ?? 0);
  }

  addRows(rows: Accumulator, shiftMs = 0): void {
    for (let at = 0; at < rows.length; at++) this.addRow(rows, at, shiftMs);
  }

  isKnown(at: number): boolean {
    return (this.count[at] ?? 0) > 0 || (this.coveredMs[at] ?? 0) > 0;
  }

  /** Buckets in which something is known. */
  rows(): Rollup[] {
    const rows: Rollup[] = [];
    for (let at = 0; at < this.length; at++) if (this.isKnown(at)) rows.push(this.#row(at));
    return rows;
  }

  #row(at: number): Rollup {
    const atMs = this.fromMs + at * this.widthMs;
    const count = this.count[at] ?? 0;
    const coveredMs = this.coveredMs[at] ?? 0;
    const integral = this.integral[at] ?? 0;
    if (count === 0) {
      const mean = (1000 * integral) / coveredMs;
      return { atMs, count, min: mean, max: mean, mean, last: mean, coveredMs, integral };
    }
    const [min, max, last] = [this.min[at] ?? 0, this.max[at] ?? 0, this.last[at] ?? 0];
    // The sum is rounded at every step; the mean of equal readings must still be that reading.
    const mean = Math.min(max, Math.max(min, (this.sum[at] ?? 0) / count));
    return { atMs, count, min, max, mean, last, coveredMs, integral };
  }

  #addReading(atMs: number, value: number): void {
    if (atMs >= this.toMs) return;
    const bucket = Math.floor((atMs - this.fromMs) / this.widthMs);
    this.#bound(bucket, value, value);
    add(this.count, bucket, 1);
    add(this.sum, bucket, value);
    this.last[bucket] = value;
  }

  #bound(bucket: number, min: number, max: number): void {
    if (min < (this.min[bucket] ?? 0)) this.min[bucket] = min;
    if (max > (this.max[bucket] ?? 0)) this.max[bucket] = max;
  }

  /** The line from one reading to the next, cut at the edges of buckets. */
  #addLine(fromMs: number, fromValue: number, toMs: number, toValue: number): void {
    const slope = (toValue - fromValue) / (toMs - fromMs);
    let startMs = Math.max(fromMs, this.fromMs);
    const endMs = Math.min(toMs, this.toMs);
    while (startMs < endMs) {
      const bucket = Math.floor((startMs - this.fromMs) / this.widthMs);
      const edgeMs = Math.min(endMs, this.fromMs + (bucket + 1) * this.widthMs);
      const middle = fromValue + slope * ((startMs + edgeMs) / 2 - fromMs);
      add(this.coveredMs, bucket, edgeMs - startMs);
      add(this.integral, bucket, (middle * (edgeMs - startMs)) / 1000);
      startMs = edgeMs;
    }
  }
}

/** The newest number before: its instant and value; null where there is none. */
export type Before = readonly [atMs: number, value: number] | null;

/** The last number of a column, if it is not before `sinceMs`. */
export function lastOf({ times, values }: Column, sinceMs: number): Before {
  for (let at = times.length - 1; at >= 0; at--) {
    const [atMs, value] = [times[at] ?? 0, values[at]];
    if (atMs < sinceMs) return null;
    if (typeof value === 'number') return [atMs, value];
  }
  return null;
}

/** The first number of a column. */
export function firstOf({ times, values }: Column): Before {
  for (let at = 0; at < times.length; at++) {
    const value = values[at];
    if (typeof value === 'number') return [times[at] ?? 0, value];
  }
  return null;
}

function add(column: Float64Array, at: number, more: number): void {
  column[at] = (column[at] ?? 0) + more;
}
