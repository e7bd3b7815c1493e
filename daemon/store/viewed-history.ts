/** What the history of a folder holds, for whoever looks at it from outside while the daemon may run. */
import { join } from 'node:path';
import type { HistoryInfo } from './history/history.ts';
import { coverageOf, keptIn } from './history/information.ts';
import { Journal, journalPaths } from './history/journal.ts';
import { Snapshots } from './history/snapshots.ts';
import { viewRecord } from './record-viewer.ts';
import { bytesOf } from './sqlite-file.ts';
import type { TimeAxis } from './time-axis.ts';

const DAY_MS = 86_400_000;

/**
 * The same as the daemon tells of itself, but for what it has only in memory. Instants are UTC.
 * Throws StoreProblem if there is no record or it is not of this version.
 */
export async function viewedHistory(folder: string): Promise<HistoryInfo> {
  const path = join(folder, 'history.db');
  const view = viewRecord(folder);
  let damagedChunks = 0;
  const snapshots = new Snapshots(path, () => {
    damagedChunks += 1;
  });
  const snapshot = snapshots.take();
  try {
    const kept =
      snapshot === null ? null : keptIn({ db: snapshot.tables.db, tables: snapshot.tables });
    // What has become chunks already stays in the journal for a while.
    const recent = new Journal(path)
      .replay()
      .readings.map(({ atMs }) => atMs)
      .filter((atMs) => atMs > (kept?.lastMs ?? -Infinity));
    const edges = [kept?.firstMs, kept?.lastMs, ...recent].filter(
      (each) => typeof each === 'number',
    );
    const points = view.reader.points();
    const query = { points, fromMs: 0, toMs: Number.MAX_SAFE_INTEGER, tierMs: DAY_MS } as const;
    const days = await view.reader.rollups(query);
    const readings = kept?.readings ?? 0;
    const lastMs = greatest(edges);
    return {
      firstMs: inUtc(view.axis, least(edges)),
      lastMs: inUtc(view.axis, lastMs),
      readings: readings + recent.length,
      readingsPruned: kept?.readingsPruned ?? 0,
      bytes: [path, ...journalPaths(path)].reduce((sum, each) => sum + bytesOf(each), 0),
      bytesPerReading: readings === 0 ? null : (kept?.usedBytes ?? 0) / readings,
      coverage: lastMs === null ? null : coverageOf(days, view.axis.presentMsOf(lastMs)),
      clips: kept?.clips ?? 0,
      oldestClipMs: inUtc(view.axis, kept?.oldestClipMs ?? null),
      prunedBeforeMs: inUtc(view.axis, kept?.prunedBeforeMs ?? null),
      damagedChunks,
      oldRows: kept?.oldRows ?? 0,
    };
  } finally {
    snapshot?.release();
    snapshots.forget();
    view.close();
  }
}

function inUtc(axis: TimeAxis, storedMs: number | null): number | null {
  return storedMs === null ? null : axis.utcMsOf(axis.presentMsOf(storedMs));
}

/** Not by spreading: there may be hundreds of thousands. */
function least(all: readonly number[]): number | null {
  return all.reduce<number | null>((a, b) => (a === null ? b : Math.min(a, b)), null);
}

function greatest(all: readonly number[]): number | null {
  return all.reduce<number | null>((a, b) => (a === null ? b : Math.max(a, b)), null);
}
