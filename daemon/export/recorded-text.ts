/** A recorded span as text, for the command line and for the page alike. */
import type { HistoryReader, TimeAxis } from '../store/store.ts';
import {
  type Batches,
  type ExportedPoint,
  type ExportFormat,
  readingsText,
} from './readings-text.ts';

/**
 * The record is let go so often: whoever reads slowly would otherwise keep the log of the database
 * from being folded for as long.
 */
const WINDOW_MS = 6 * 3_600_000;

export interface RecordedSpan {
  format: ExportFormat;
  points: readonly ExportedPoint[];
  /** Present instants of the daemon's clock. */
  fromMs: number;
  toMs: number;
}

/** Pieces of text as fast as they are taken; memory does not grow with the span. Instants in UTC. */
export function recordedText(
  record: { reader: Pick<HistoryReader, 'readings'>; axis: TimeAxis },
  { format, points, fromMs, toMs }: RecordedSpan,
  signal?: AbortSignal,
): AsyncGenerator<string> {
  const { reader, axis } = record;
  const ids = points.map(({ id }) => id);
  const batches = windows(fromMs, toMs, (first, end) =>
    reader.readings({ points: ids, fromMs: first, toMs: end }, signal),
  );
  return readingsText(format, points, batches, (atMs) => axis.utcMsOf(atMs));
}

async function* windows(
  fromMs: number,
  toMs: number,
  read: (fromMs: number, toMs: number) => Batches,
): Batches {
  for (let first = fromMs; first < toMs;) {
    const end = Math.min(toMs, (Math.floor(first / WINDOW_MS) + 1) * WINDOW_MS);
    yield* read(first, end);
    first = end;
  }
}
