/**
 * Answers a chart from `history.db`: least, greatest, mean and count of each bucket, so that no
 * spike is lost when many readings share a pixel. Reads in small slices and lets the daemon work in
 * between, on a snapshot of its own, so that what is written meanwhile neither doubles nor goes
 * missing.
 */
import Database from 'better-sqlite3';
import { setImmediate as turn } from 'node:timers/promises';
import type { StoredReading } from './reading-buffer.ts';

export interface HistoryQuery {
  points: readonly string[];
  /** First instant, ms. */
  fromMs: number;
  /** Instant after the last, ms. */
  toMs: number;
  /** At most so many buckets of equal width, counted from `fromMs`. */
  buckets: number;
}

/** Start of the bucket (ms), least, greatest, arithmetic mean and count of its readings. */
export type Bucket = [atMs: number, min: number, max: number, mean: number, count: number];

export interface HistorySeries {
  pointId: string;
  /** In order of time; a bucket without readings is left out. Words are not in it. */
  buckets: Bucket[];
}

export interface History {
  fromMs: number;
  toMs: number;
  /** Whole milliseconds. */
  bucketMs: number;
  series: HistorySeries[];
}

/** Rows that one slice looks at: some ten milliseconds of a small computer. */
const SLICE_ROWS = 10_000;

/** Least, greatest, sum, count. */
type Sums = [min: number, max: number, sum: number, count: number];

/**
 * `path` null: there is no file yet. `waiting`: readings not yet written; they must be those of
 * this very instant. Rejects with `signal`'s reason when it aborts, and with what SQLite throws.
 */
export async function readHistory(
  path: string | null,
  waiting: readonly StoredReading[],
  query: HistoryQuery,
  signal?: AbortSignal,
): Promise<History> {
  signal?.throwIfAborted();
  const frame = frameOf(query);
  const sums = new Map(query.points.map((id) => [id, new Map<number, Sums>()]));
  const snapshot = path === null ? null : openSnapshot(path, frame, [...sums.keys()]);
  try {
    addWaiting(sums, frame, waiting, snapshot);
    while (snapshot?.addSlice(sums) === 'more') {
      await turn();
      signal?.throwIfAborted();
    }
  } finally {
    snapshot?.close();
  }
  return { ...frame, series: [...sums].map(([pointId, of]) => seriesOf(pointId, of, frame)) };
}

interface Frame {
  fromMs: number;
  toMs: number;
  bucketMs: number;
}

function frameOf({ fromMs, toMs, buckets }: HistoryQuery): Frame {
  const from = Math.floor(fromMs);
  const to = Math.max(from, Math.ceil(toMs));
  return { fromMs: from, toMs: to, bucketMs: Math.max(1, Math.ceil((to - from) / buckets)) };
}

function addWaiting(
  sums: Map<string, Map<number, Sums>>,
  { fromMs, toMs, bucketMs }: Frame,
  waiting: readonly StoredReading[],
  snapshot: Snapshot | null,
): void {
  for (const { pointId, atMs, value } of waiting) {
    const of = sums.get(pointId);
    if (of === undefined || typeof value !== 'number' || atMs < fromMs || atMs >= toMs) continue;
    if (snapshot?.has(pointId, atMs) === true) continue;
    merge(of, Math.floor((atMs - fromMs) / bucketMs), [value, value, value, 1]);
  }
}

function merge(of: Map<number, Sums>, bucket: number, more: Sums): void {
  const sums = of.get(bucket);
  if (sums === undefined) {
    of.set(bucket, more);
    return;
  }
  sums[0] = Math.min(sums[0], more[0]);
  sums[1] = Math.max(sums[1], more[1]);
  sums[2] += more[2];
  sums[3] += more[3];
}

function seriesOf(pointId: string, of: Map<number, Sums>, { fromMs, bucketMs }: Frame) {
  const buckets = [...of]
    .sort(([a], [b]) => a - b)
    .map(([bucket, [min, max, sum, count]]): Bucket => {
      // The sum is rounded at every step; the mean of equal readings must still be that reading.
      const mean = Math.min(max, Math.max(min, sum / count));
      return [fromMs + bucket * bucketMs, min, max, mean, count];
    });
  return { pointId, buckets };
}

function openSnapshot(path: string, frame: Frame, points: readonly string[]): Snapshot {
  const db = new Database(path, { readonly: true, timeout: 2000 });
  try {
    return new Snapshot(db, frame, points);
  } catch (error) {
    db.close();
    throw error;
  }
}

/** One reader's view of the file as it was when it was made, walked in slices of time. */
class Snapshot {
  readonly #db: Database.Database;
  readonly #numbers: Map<string, number>;
  readonly #ids: Map<number, string>;
  readonly #has: Database.Statement<[number, number], number>;
  readonly #sliceEnd: Database.Statement<[bigint, bigint, number], number>;
  readonly #sums: Database.Statement<(bigint | string)[], [number, number, ...Sums]>;
  readonly #frame: Frame;
  readonly #lastMs: number;
  #cursorMs: number;

  constructor(db: Database.Database, frame: Frame, points: readonly string[]) {
    this.#db = db;
    this.#frame = frame;
    this.#cursorMs = frame.fromMs;
    this.#db.exec('BEGIN');
    this.#lastMs =
      this.#db.prepare<[], number | null>('SELECT max(at_ms) FROM reading').pluck().get() ??
      -Infinity;
    const known = this.#db
      .prepare<[string], { number: number; id: string }>(
        'SELECT number, id FROM point WHERE id IN (SELECT value FROM json_each(?))',
      )
      .all(JSON.stringify(points));
    this.#numbers = new Map(known.map(({ number, id }) => [id, number]));
    this.#ids = new Map(known.map(({ number, id }) => [number, id]));
    this.#has = this.#db
      .prepare<[number, number], number>('SELECT 1 FROM reading WHERE at_ms = ? AND point = ?')
      .pluck();
    this.#sliceEnd = this.#db
      .prepare<[bigint, bigint, number], number>(
        'SELECT at_ms FROM reading WHERE at_ms >= ? AND at_ms < ? ORDER BY at_ms LIMIT 1 OFFSET ?',
      )
      .pluck();
    this.#sums = this.#db
      .prepare<(bigint | string)[], [number, number, ...Sums]>(
        `SELECT point, (at_ms - ?) / ? AS bucket, min(value), max(value), sum(value), count(*)
         FROM reading
         WHERE at_ms >= ? AND at_ms < ? AND point IN (SELECT value FROM json_each(?))
           AND typeof(value) <> 'text'
         GROUP BY bucket, point`,
      )
      .raw();
  }

  /** Whether this reading is in the file already. Most are newer than all of it. */
  has(pointId: string, atMs: number): boolean {
    const number = this.#numbers.get(pointId);
    return number !== undefined && atMs <= this.#lastMs && this.#has.get(atMs, number) === 1;
  }

  /** Adds the next slice; `more` while the frame is not walked through. */
  addSlice(sums: Map<string, Map<number, Sums>>): 'more' | 'done' {
    const { fromMs, toMs, bucketMs } = this.#frame;
    if (this.#numbers.size === 0) return 'done';
    // Integers of SQLite, so that `/` divides whole numbers.
    const start = BigInt(this.#cursorMs);
    const next = this.#sliceEnd.get(start, BigInt(toMs), SLICE_ROWS);
    // More readings at one instant than a slice holds: the slice is that instant.
    const endMs = next === undefined ? toMs : Math.max(next, this.#cursorMs + 1);
    const numbers = JSON.stringify([...this.#numbers.values()]);
    const rows = this.#sums.all(BigInt(fromMs), BigInt(bucketMs), start, BigInt(endMs), numbers);
    for (const [number, bucket, ...more] of rows) {
      const of = sums.get(this.#ids.get(number) ?? '');
      if (of !== undefined) merge(of, bucket, more);
    }
    this.#cursorMs = endMs;
    return endMs < toMs ? 'more' : 'done';
  }

  close(): void {
    this.#db.close();
  }
}
