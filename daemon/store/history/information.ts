/** What is kept, for a person who looks after the history. */
import type { HistoryParts } from '../history-file.ts';
import type { ChunkTables } from './chunk-tables.ts';
import type { BucketSeries } from './history.ts';
import { PRUNED_HOUR, READINGS_PRUNED, spaceIn } from './retention.ts';
import { HOUR_MS, keyOf, pointOf, spanOf } from './tables.ts';

/** What the database says of itself; journal and memory are not in it. */
export interface Kept {
  firstMs: number | null;
  lastMs: number | null;
  readings: number;
  readingsPruned: number;
  usedBytes: number;
  clips: number;
  oldestClipMs: number | null;
  prunedBeforeMs: number | null;
  oldRows: number;
}

export function keptIn({ db, tables }: Pick<HistoryParts, 'db' | 'tables'>): Kept {
  const one = (sql: string): number | null =>
    db.prepare<[], number | null>(sql).pluck().get() ?? null;
  const firstKey = one('SELECT key FROM chunk ORDER BY key LIMIT 1');
  const lastKey = one('SELECT key FROM chunk ORDER BY key DESC LIMIT 1');
  const prunedHour = tables.mark(PRUNED_HOUR);
  return {
    firstMs: firstKey === null ? null : edgesOf(tables, spanOf(firstKey))[0],
    lastMs: lastKey === null ? null : edgesOf(tables, spanOf(lastKey))[1],
    readings: tables.mark('readings'),
    readingsPruned: tables.mark(READINGS_PRUNED),
    usedBytes: spaceIn(db).usedBytes,
    clips: one('SELECT count(*) FROM clip') ?? 0,
    oldestClipMs: one('SELECT min(from_ms) FROM clip'),
    prunedBeforeMs: prunedHour === 0 ? null : prunedHour * HOUR_MS,
    oldRows: one('SELECT count(*) FROM reading') ?? 0,
  };
}

/** First and last instant of any chunk in an hour; the hour's own where none can be read. */
function edgesOf(tables: ChunkTables, hour: number): [firstMs: number, lastMs: number] {
  const keys = tables.db
    .prepare<[number, number], number>('SELECT key FROM chunk WHERE key >= ? AND key < ?')
    .pluck()
    .all(keyOf(hour, 0), keyOf(hour + 1, 0));
  let [firstMs, lastMs] = [Infinity, -Infinity];
  for (const key of keys) {
    const { times } = tables.chunk(pointOf(key), hour);
    firstMs = Math.min(firstMs, times[0] ?? Infinity);
    lastMs = Math.max(lastMs, times[times.length - 1] ?? -Infinity);
  }
  return firstMs <= lastMs ? [firstMs, lastMs] : [hour * HOUR_MS, (hour + 1) * HOUR_MS];
}

/** Known time of all points over the time since each was first heard, 0..1; null without any. */
export function coverageOf(days: readonly BucketSeries[], lastMs: number): number | null {
  let [coveredMs, wholeMs] = [0, 0];
  for (const { buckets } of days) {
    const [first] = buckets;
    if (first === undefined) continue;
    wholeMs += lastMs - first.atMs;
    for (const row of buckets) coveredMs += row.coveredMs;
  }
  return wholeMs <= 0 ? null : Math.min(1, coveredMs / wholeMs);
}
