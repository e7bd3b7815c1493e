/** Answers questions about the history: opens a view of the file and of memory, and closes it again. */
import type { StoredSpan, TimeAxis } from '../time-axis.ts';
import { fill, type Frame, frameOf, framedRows } from './chart.ts';
import { type Column, merged } from './chunk.ts';
import type { ChunkTables } from './chunk-tables.ts';
import { ClipSpans } from './clips.ts';
import type {
  Buckets,
  BucketSeries,
  BucketsQuery,
  Clip,
  ReadingsQuery,
  RollupsQuery,
  StoredReading,
} from './history.ts';
import { Pace } from './pace.ts';
import { type Memory, PointView } from './point-view.ts';
import { streamReadings } from './reading-stream.ts';
import type { Recent } from './recent.ts';
import { PRUNED_HOUR } from './retention.ts';
import type { Snapshots } from './snapshots.ts';
import { HOUR_MS } from './tables.ts';

/** Rows of a tier given back for one point at most. */
const ROWS_MAX = 1_000_000;

export interface ReaderParts {
  snapshots: Snapshots;
  recent: Recent;
  /** Readings that are not even in the journal yet. */
  waiting: () => readonly StoredReading[];
  axis: () => TimeAxis;
  /** What `slowGapMs` says of a point. */
  slowMsOf?: (pointId: string) => number;
}

/** What is known at one instant. */
interface View {
  tables: ChunkTables | null;
  points: Map<string, PointView>;
  /** Where anything is known at all; null: nowhere. */
  hours: [first: number, last: number] | null;
  release(): void;
}

export class Reader {
  readonly #parts: ReaderParts;

  constructor(parts: ReaderParts) {
    this.#parts = parts;
  }

  async buckets(query: BucketsQuery, signal?: AbortSignal): Promise<Buckets> {
    const pace = new Pace(signal);
    const view = this.#look(query.points);
    try {
      const frame = frameOf(query, this.#isPruned(view, query));
      const series = await this.#fill(frame, view, pace);
      signal?.throwIfAborted();
      const { fromMs, toMs, bucketMs, tier } = frame;
      return { fromMs, toMs, bucketMs, tierMs: tier?.widthMs ?? 0, series };
    } finally {
      view.release();
    }
  }

  /** Throws RangeError when a point would have more than a million rows. */
  async rollups(
    { points, fromMs, toMs, tierMs }: RollupsQuery,
    signal?: AbortSignal,
  ): Promise<BucketSeries[]> {
    const pace = new Pace(signal);
    const view = this.#look(points);
    try {
      const known = this.#cut(view, this.#parts.axis().spans(fromMs, toMs), tierMs);
      const isAny = known.length > 0;
      const frame = framedRows(
        isAny ? Math.max(fromMs, Math.min(...known.map((span) => span.fromMs + span.shiftMs))) : 0,
        isAny ? Math.min(toMs, Math.max(...known.map((span) => span.toMs + span.shiftMs))) : 0,
        tierMs,
      );
      if ((frame.toMs - frame.fromMs) / tierMs > ROWS_MAX) {
        throw new RangeError('that is more than a million rows; ask for a wider tier or less time');
      }
      return await this.#fill(frame, view, pace);
    } finally {
      view.release();
    }
  }

  async *readings(
    { points, fromMs, toMs }: ReadingsQuery,
    signal?: AbortSignal,
  ): AsyncGenerator<readonly StoredReading[]> {
    const pace = new Pace(signal);
    const view = this.#look(points);
    try {
      const spans = this.#cut(view, this.#parts.axis().spans(fromMs, toMs));
      yield* streamReadings(spans, view.points, pace);
    } finally {
      view.release();
    }
  }

  clips({ fromMs, toMs, limit }: { fromMs: number; toMs: number; limit: number }): Clip[] {
    const view = this.#look([]);
    try {
      const found = this.#parts
        .axis()
        .spans(fromMs, toMs)
        .flatMap((span) => {
          const clips = view.tables?.clips(span.fromMs, span.toMs, limit) ?? [];
          return clips.map((clip) => ({
            fromMs: clip.fromMs + span.shiftMs,
            toMs: clip.toMs + span.shiftMs,
            atMs: clip.atMs + span.shiftMs,
            about: clip.about,
          }));
        });
      return found.slice(0, limit);
    } finally {
      view.release();
    }
  }

  points(): string[] {
    const view = this.#look([]);
    try {
      const known = new Set(view.tables?.points() ?? []);
      for (const id of this.#parts.recent.points()) known.add(id);
      for (const { pointId } of this.#parts.waiting()) known.add(pointId);
      return [...known].sort();
    } finally {
      view.release();
    }
  }

  #fill(frame: Frame, view: View, pace: Pace): Promise<BucketSeries[]> {
    const spans = this.#parts.axis().spans(frame.fromMs, frame.toMs);
    return fill(frame, this.#cut(view, spans, frame.tier?.widthMs), view.points, pace);
  }

  /** Everything of these points at this instant: nobody else works until it is taken. */
  #look(points: readonly string[]): View {
    const snapshot = this.#parts.snapshots.take();
    const tables = snapshot?.tables ?? null;
    const memory = this.#memoryOf(points);
    return {
      tables,
      points: new Map(
        points.map((id) => [
          id,
          new PointView(tables, id, memory.get(id) ?? new Map(), this.#parts.slowMsOf?.(id) ?? 0),
        ]),
      ),
      hours: hoursOf(tables, memory),
      release: () => snapshot?.release(),
    };
  }

  #memoryOf(points: readonly string[]): Map<string, Memory> {
    const { recent, waiting } = this.#parts;
    const byPoint = new Map<string, Map<number, Column>>();
    for (const id of points) {
      const hours = recent.hoursOf(id).map((hour): [number, Column] => {
        const { times, values } = recent.column(id, hour);
        return [hour, { times: Array.from(times), values: Array.from(values) }];
      });
      byPoint.set(id, new Map(hours));
    }
    const inOrder = waiting().toSorted((a, b) => a.atMs - b.atMs);
    const late = new Map<string, Map<number, { times: number[]; values: (number | string)[] }>>();
    for (const { pointId, atMs, value } of inOrder) {
      if (!byPoint.has(pointId)) continue;
      const hour = Math.floor(atMs / HOUR_MS);
      const hours = late.get(pointId) ?? new Map();
      late.set(pointId, hours);
      const column = hours.get(hour) ?? { times: [], values: [] };
      hours.set(hour, column);
      column.times.push(atMs);
      column.values.push(value);
    }
    for (const [pointId, hours] of late) {
      const memory = byPoint.get(pointId);
      for (const [hour, column] of hours) {
        const old = memory?.get(hour);
        memory?.set(hour, old === undefined ? column : merged(old, column));
      }
    }
    return byPoint;
  }

  /** Cuts spans to where anything is known, in whole hours and whole rows of a tier. */
  #cut({ hours }: View, spans: readonly StoredSpan[], tierMs: number = HOUR_MS): StoredSpan[] {
    if (hours === null) return [];
    const [first, last] = hours;
    const firstMs = Math.floor((first * HOUR_MS) / tierMs) * tierMs;
    return spans.flatMap(({ fromMs, toMs, shiftMs }) => {
      const from = Math.max(fromMs, firstMs);
      const to = Math.min(toMs, (last + 1) * HOUR_MS);
      return from < to ? [{ fromMs: from, toMs: to, shiftMs }] : [];
    });
  }

  /** Whether single readings of the span have been deleted, other than around its clips. */
  #isPruned({ tables }: View, { fromMs, toMs }: BucketsQuery): boolean {
    if (tables === null) return false;
    const prunedMs = tables.mark(PRUNED_HOUR) * HOUR_MS;
    if (prunedMs === 0) return false;
    return this.#parts
      .axis()
      .spans(fromMs, toMs)
      .some((span) => {
        const toMsPruned = Math.min(span.toMs, prunedMs);
        if (span.fromMs >= toMsPruned) return false;
        const [clip] = new ClipSpans(tables.db).within(span.fromMs, toMsPruned);
        return clip === undefined || clip[0] > span.fromMs || clip[1] < toMsPruned;
      });
  }
}

function hoursOf(
  tables: ChunkTables | null,
  memory: ReadonlyMap<string, Memory>,
): [first: number, last: number] | null {
  const hours = [...memory.values()].flatMap((of) => Array.from(of.keys()));
  const kept = tables?.hours() ?? null;
  if (kept !== null) hours.push(...kept);
  const old = tables?.oldSpan() ?? null;
  if (old !== null) hours.push(...old.map((atMs) => Math.floor(atMs / HOUR_MS)));
  return hours.length === 0 ? null : [Math.min(...hours), Math.max(...hours)];
}
