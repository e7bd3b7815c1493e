/**
 * From the history's buckets to what is drawn and what is read aloud. A time without readings stays
 * empty: it is never bridged by a line and never filled with zero. Pure.
 */
import type { Bucket, HistoryAnswer, PointDescription } from '../../daemon/api/contract.ts';
import type { Stretch } from './stretch.ts';

/** A place on the chart; `y` null breaks the line. */
export interface Spot {
  x: number;
  y: number | null;
}

export type Gap = Stretch;

export interface Trace {
  pointId: string;
  min: Spot[];
  max: Spot[];
  mean: Spot[];
  gaps: Gap[];
}

export type Series = HistoryAnswer['series'][number];

/** What decides whether a hole is a gap or only the sensor's own rhythm. */
export interface Rhythm {
  bucketMs: number;
  expectedEveryMs: number;
  /** From here on the page only knows what it saw itself, in looks so far apart. */
  tail?: { fromMs: number; everyMs: number };
}

/** Fewer looks than this say nothing about silence between them. */
const TAIL_LOOKS = 2;
/** So many expected intervals of silence make a gap; the daemon calls a reading stale after as many. */
const SILENT_INTERVALS = 3;

/**
 * True where between two buckets that follow each other the sensor was surely silent: at least one
 * whole bucket is missing and the silence lasted three expected intervals or longer.
 */
export function isGap(beforeMs: number, afterMs: number, rhythm: Rhythm): boolean {
  const surelySilentMs = afterMs - beforeMs - rhythm.bucketMs;
  const { tail } = rhythm;
  const lookMs = tail !== undefined && afterMs >= tail.fromMs ? TAIL_LOOKS * tail.everyMs : 0;
  const least = Math.max(rhythm.bucketMs, SILENT_INTERVALS * rhythm.expectedEveryMs, lookMs);
  // Bucket starts are products of a fraction: compare with a hair of room.
  return surelySilentMs >= least * 0.999;
}

/** The times without readings within the span, its beginning and its end included. */
export function gapsOf(buckets: readonly Bucket[], span: Gap, rhythm: Rhythm): Gap[] {
  const gaps: Gap[] = [];
  let endMs = span.fromMs;
  let beforeMs = span.fromMs - rhythm.bucketMs;
  for (const [atMs] of buckets) {
    if (isGap(beforeMs, atMs, rhythm)) gaps.push({ fromMs: endMs, toMs: atMs });
    beforeMs = atMs;
    endMs = atMs + rhythm.bucketMs;
  }
  if (isGap(beforeMs, span.toMs, rhythm)) gaps.push({ fromMs: endMs, toMs: span.toMs });
  return gaps;
}

/** One point's buckets as three lines with breaks at the gaps, times `scale`. */
export function traceFrom(series: Series, span: Gap, rhythm: Rhythm, scale = 1): Trace {
  const trace: Trace = {
    pointId: series.pointId,
    min: [],
    max: [],
    mean: [],
    gaps: gapsOf(series.buckets, span, rhythm),
  };
  let beforeMs: number | null = null;
  for (const [atMs, min, max, mean] of series.buckets) {
    if (beforeMs !== null && isGap(beforeMs, atMs, rhythm)) {
      const middle = (beforeMs + rhythm.bucketMs + atMs) / 2;
      for (const line of [trace.min, trace.max, trace.mean]) line.push({ x: middle, y: null });
    }
    const x = Math.min(atMs + rhythm.bucketMs / 2, Math.max(span.toMs, atMs));
    trace.min.push({ x, y: min * scale });
    trace.max.push({ x, y: max * scale });
    trace.mean.push({ x, y: mean * scale });
    beforeMs = atMs;
  }
  return trace;
}

/** True for a spot with no neighbour: a line through it would be invisible, so it gets a dot. */
export function isAlone(line: readonly Spot[], index: number): boolean {
  const here = line[index]?.y ?? null;
  return (
    here !== null && (line[index - 1]?.y ?? null) === null && (line[index + 1]?.y ?? null) === null
  );
}

/** The buckets after one more reading, which may lie in the last bucket or start a new one. */
export function withReading(
  buckets: readonly Bucket[],
  reading: { atMs: number; value: number },
  fromMs: number,
  bucketMs: number,
): Bucket[] {
  const startMs = fromMs + Math.floor((reading.atMs - fromMs) / bucketMs) * bucketMs;
  const last = buckets.at(-1);
  if (last === undefined || startMs >= last[0] + bucketMs * 0.5) {
    // Of what has just begun all is known so far; the next answer says it exactly.
    return [...buckets, [startMs, reading.value, reading.value, reading.value, 1, 1]];
  }
  // Older than what the history already holds: the next answer will have it.
  if (startMs < last[0] - bucketMs * 0.5) return [...buckets];
  const [atMs, min, max, mean, count, coverage] = last;
  const merged: Bucket = [
    atMs,
    Math.min(min, reading.value),
    Math.max(max, reading.value),
    (mean * count + reading.value) / (count + 1),
    count + 1,
    coverage,
  ];
  return [...buckets.slice(0, -1), merged];
}

export interface Stats {
  min: number;
  max: number;
  mean: number;
}

/** Least, greatest and mean of all readings in the buckets; null without any. */
export function statsOf(buckets: readonly Bucket[]): Stats | null {
  let min = Number.POSITIVE_INFINITY;
  let max = Number.NEGATIVE_INFINITY;
  let sum = 0;
  let count = 0;
  for (const [, low, high, mean, readings] of buckets) {
    min = Math.min(min, low);
    max = Math.max(max, high);
    sum += mean * readings;
    count += readings;
  }
  return count === 0 ? null : { min, max, mean: sum / count };
}

export interface Cell extends Stats {
  /** A gap covers part of this row's time. */
  isPartial: boolean;
}
export interface Row {
  fromMs: number;
  toMs: number;
  /** One for each series; null: no readings. */
  cells: (Cell | null)[];
}

function cellOf(buckets: readonly Bucket[], gaps: readonly Gap[], row: Gap): Cell | null {
  const stats = statsOf(buckets.filter(([atMs]) => atMs >= row.fromMs && atMs < row.toMs));
  if (stats === null) return null;
  const isPartial = gaps.some((gap) => gap.fromMs < row.toMs && gap.toMs > row.fromMs);
  return { ...stats, isPartial };
}

/**
 * The chart as a table, with a row from each edge to the next, the first from the beginning of the
 * span and the last to its end. A time without readings has its row and says so.
 */
export function rowsFrom(
  series: readonly { buckets: readonly Bucket[]; gaps: readonly Gap[] }[],
  span: Gap,
  edges: readonly number[],
): Row[] {
  const inside = edges.filter((atMs) => atMs > span.fromMs && atMs < span.toMs);
  const starts = [span.fromMs, ...inside];
  return starts.map((fromMs, index) => {
    const toMs = starts[index + 1] ?? span.toMs;
    const cells = series.map(({ buckets, gaps }) => cellOf(buckets, gaps, { fromMs, toMs }));
    return { fromMs, toMs, cells };
  });
}

/** Points grouped by the part they measure, in the order in which the parts first appear. */
export function byPart(points: readonly PointDescription[]): Map<string, PointDescription[]> {
  const groups = new Map<string, PointDescription[]>();
  for (const point of points) groups.set(point.of, [...(groups.get(point.of) ?? []), point]);
  return groups;
}

/** True for quantities that can be drawn as a line. */
export function isDrawable({ quantity }: Pick<PointDescription, 'quantity'>): boolean {
  return quantity !== 'position' && quantity !== 'switch';
}
