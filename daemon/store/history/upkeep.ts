/**
 * What is done once an hour, in slices between which the daemon works on: rows of the first version
 * are taken over, hours that are over become chunks, the journal changes files, days that are over
 * are folded, clips are noted, and what is too old is deleted.
 */
import type { HistoryParts } from '../history-file.ts';
import type { Column } from './chunk.ts';
import { nothingPrepared } from './chunk-writer.ts';
import { addClips, type Happening } from './clips.ts';
import type { Recent } from './recent.ts';
import { type Limits, PRUNED_HOUR } from './retention.ts';
import { DAY_MS, HOUR_MS } from './tables.ts';

/** Points between two breaths: some ten milliseconds of packing on a small computer. */
const SLICE_POINTS = 2;
/** Clips are looked for from so long before the last time: an alert may wait for its disk. */
const CLIPS_AGAIN_MS = HOUR_MS;
const CLIPS_NOTED = 'clips noted to';

export interface UpkeepParts {
  recent: Recent;
  /** Hours before this one are over. */
  beforeHour: number;
  /** What happened from a stored instant on. */
  happenings: (fromMs: number) => readonly Happening[];
  /** Called once all of these hours are in chunks: the journal may forget them. */
  onChunked: () => void;
  /** Readings that came for hours whose readings were deleted already. */
  onTooOld: (readings: number) => void;
  limits: () => Limits;
  /** What `slowGapMs` says of a point. */
  slowMsOf: (pointId: string) => number;
}

export function* upkeep(file: HistoryParts, parts: UpkeepParts): Generator<void> {
  if (yield* chunkHours(file, parts)) parts.onChunked();
  yield;
  noteClips(file, parts);
  yield* file.oldRows.run();
  yield* file.folding.run(Math.floor((parts.beforeHour * HOUR_MS) / DAY_MS));
  yield* file.pruning.run(parts.limits());
}

/** True if any hour has left memory. */
function* chunkHours(
  { tables, writer }: HistoryParts,
  { recent, beforeHour, onTooOld, slowMsOf }: UpkeepParts,
): Generator<void, boolean> {
  let hasChunked = false;
  const prunedHour = tables.mark(PRUNED_HOUR);
  for (const hour of recent.hours()) {
    if (hour >= beforeHour) continue;
    hasChunked = true;
    const pointIds = recent.points().filter((id) => recent.column(id, hour).times.length > 0);
    if (hour < prunedHour) {
      for (const id of pointIds) onTooOld(giveUp(recent, id, hour));
      continue;
    }
    writer.numberAll(pointIds);
    const prepared = nothingPrepared();
    const taken: [string, Column][] = [];
    for (const [at, id] of pointIds.entries()) {
      // What comes meanwhile waits for the next time.
      const column = copied(recent.column(id, hour));
      const point = tables.numberOf(id);
      if (point === null) throw new Error(`no number for point ${id}`);
      writer.prepare(prepared, point, hour, column, slowMsOf(id));
      taken.push([id, column]);
      if (at % SLICE_POINTS === SLICE_POINTS - 1) yield;
    }
    writer.write(prepared);
    for (const [id, column] of taken) recent.remove(id, hour, column);
    yield;
  }
  return hasChunked;
}

function copied({ times, values }: Column): Column {
  return { times: Array.from(times), values: Array.from(values) };
}

function giveUp(recent: Recent, pointId: string, hour: number): number {
  const column = copied(recent.column(pointId, hour));
  recent.remove(pointId, hour, column);
  return column.times.length;
}

function noteClips(
  { db, tables, writer }: HistoryParts,
  { happenings, limits }: UpkeepParts,
): void {
  const notedMs = tables.mark(CLIPS_NOTED);
  const found = happenings(notedMs - CLIPS_AGAIN_MS);
  addClips(db, found);
  writer.setMark(CLIPS_NOTED, limits().nowMs);
}
