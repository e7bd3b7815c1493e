/** Every reading of a span in order of time, an hour of the points at a time. */
import type { StoredSpan } from '../time-axis.ts';
import type { Column } from './chunk.ts';
import type { StoredReading } from './history.ts';
import { COST, type Pace } from './pace.ts';
import type { PointView } from './point-view.ts';
import { HOUR_MS } from './tables.ts';

const BATCH_MS = 60_000;
const BATCH_READINGS = 4000;

/** Not in order where spans overlap: pieces of a clock that was wrong follow each other as stored. */
export async function* streamReadings(
  spans: readonly StoredSpan[],
  views: ReadonlyMap<string, PointView>,
  pace: Pace,
): AsyncGenerator<readonly StoredReading[]> {
  for (const span of spans) {
    const last = Math.floor((span.toMs - 1) / HOUR_MS);
    for (let hour = Math.floor(span.fromMs / HOUR_MS); hour <= last; hour++) {
      const columns: [string, Column][] = [];
      for (const [pointId, view] of views) {
        const column = view.column(hour);
        if (column.times.length > 0) columns.push([pointId, column]);
        await pace.step(column.times.length > 0 ? COST.chunk : COST.minutes);
      }
      for (const batch of batches(columns, hour, span)) {
        yield batch;
        await pace.step(COST.chunk);
      }
    }
  }
}

/** The columns of an hour, a minute at a time, in order of time; then of the points as asked. */
function* batches(
  columns: readonly [string, Column][],
  hour: number,
  { fromMs, toMs, shiftMs }: StoredSpan,
): Generator<StoredReading[]> {
  const next = columns.map(() => 0);
  const endMs = Math.min(toMs, (hour + 1) * HOUR_MS);
  for (let untilMs = hour * HOUR_MS + BATCH_MS; untilMs < endMs + BATCH_MS; untilMs += BATCH_MS) {
    const batch: StoredReading[] = [];
    for (const [place, [pointId, { times, values }]] of columns.entries()) {
      let at = next[place] ?? 0;
      for (; (times[at] ?? Infinity) < Math.min(untilMs, endMs); at++) {
        const atMs = times[at] ?? 0;
        if (atMs < fromMs) continue;
        batch.push({ pointId, atMs: atMs + shiftMs, value: values[at] ?? 0 });
      }
      next[place] = at;
    }
    batch.sort((a, b) => a.atMs - b.atMs);
    for (let from = 0; from < batch.length; from += BATCH_READINGS) {
      yield batch.slice(from, from + BATCH_READINGS);
    }
  }
}
