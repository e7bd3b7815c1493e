/**
 * Time running, time known and starts, counted into buckets of time, so that the last hour and the
 * last day can be told without keeping readings. Plain JSON, kept over a restart.
 */

/** Number of the bucket since 1970, milliseconds running, milliseconds known, starts. */
export type Bucket = [number: number, runMs: number, knownMs: number, starts: number];

export interface DutyWindow {
  bucketMs: number;
  buckets: number;
}

/** The bucket that is being filled is the youngest, so a window covers up to one bucket less. */
export const HOUR_WINDOW: DutyWindow = { bucketMs: 600_000, buckets: 6 };
export const DAY_WINDOW: DutyWindow = { bucketMs: 7_200_000, buckets: 12 };

export interface DutyCount {
  runMs: number;
  knownMs: number;
  /** Time the window covers; never less than `knownMs`. */
  spanMs: number;
  starts: number;
}

function bucketAt(list: Bucket[], window: DutyWindow, number: number): Bucket {
  const last = list.at(-1);
  if (last && last[0] === number) return last;
  const made: Bucket = [number, 0, 0, 0];
  list.push(made);
  while (list[0] && list[0][0] <= number - window.buckets) list.shift();
  return made;
}

/** Counts `fromMs` to `toMs` as known, and as running where it ran. Never goes back in time. */
export function addInterval(
  list: Bucket[],
  window: DutyWindow,
  fromMs: number,
  toMs: number,
  ran: boolean,
): void {
  let atMs = fromMs;
  while (atMs < toMs) {
    const number = Math.floor(atMs / window.bucketMs);
    const endMs = Math.min(toMs, (number + 1) * window.bucketMs);
    const bucket = bucketAt(list, window, number);
    if (ran) bucket[1] += endMs - atMs;
    bucket[2] += endMs - atMs;
    atMs = endMs;
  }
}

export function addStart(list: Bucket[], window: DutyWindow, atMs: number): void {
  bucketAt(list, window, Math.floor(atMs / window.bucketMs))[3] += 1;
}

/** What the window up to `nowMs` holds. */
export function countOf(list: readonly Bucket[], window: DutyWindow, nowMs: number): DutyCount {
  const { bucketMs, buckets } = window;
  const newest = Math.floor(nowMs / bucketMs);
  const count: DutyCount = { runMs: 0, knownMs: 0, spanMs: 0, starts: 0 };
  for (const [number, runMs, knownMs, starts] of list) {
    if (number <= newest - buckets || number > newest) continue;
    count.runMs += runMs;
    count.knownMs += knownMs;
    count.starts += starts;
  }
  count.spanMs = Math.max(count.knownMs, (buckets - 1) * bucketMs + (nowMs - newest * bucketMs));
  return count;
}
