/** One chart, ready to be drawn: lines with breaks, the span, and the words beside it. Pure. */
import type { HistoryAnswer } from '../../daemon/api/contract.ts';
import { traceFrom, type Gap, type Rhythm, type Series, type Trace } from './traces.ts';
import type { Grown, Plot } from './trend-plan.ts';

export interface DrawnPoint {
  id: string;
  label: string;
  /** Place among all chosen points: decides colour and dashes. */
  style: number;
  /** As the store gave them, in base units. */
  series: Series;
  rhythm: Rhythm;
  trace: Trace;
  /** The same a week earlier, to compare; null: not asked for. */
  before: { series: Series; trace: Trace } | null;
}

export interface Drawing {
  plot: Plot;
  span: Gap;
  points: DrawnPoint[];
}

export interface Beside {
  /** The same points a week earlier, moved to the present; null: not to be compared. */
  weekBefore: HistoryAnswer | null;
  nowMs: number;
}

/**
 * The drawings for the plots of an answer; a point that the answer lacks is drawn empty, as one
 * long gap. `order` is the order in which the points were chosen.
 */
export function drawingsOf(
  plots: readonly Plot[],
  { answer, askedToMs, lookEveryMs }: Grown,
  span: Gap,
  order: readonly string[],
  { weekBefore, nowMs }: Beside = { weekBefore: null, nowMs: Number.POSITIVE_INFINITY },
): Drawing[] {
  const tail = { fromMs: askedToMs, everyMs: lookEveryMs };
  // A silence in the future is none.
  const seen = { ...span, toMs: Math.max(span.fromMs, Math.min(span.toMs, nowMs)) };
  const byId = new Map(answer.series.map((series) => [series.pointId, series]));
  return plots.map((plot) => ({
    plot,
    span,
    points: plot.points.map(({ id, label, unit, expectedEveryMs }) => {
      const series = byId.get(id) ?? { pointId: id, unit, buckets: [] };
      const rhythm = { bucketMs: answer.bucketMs, expectedEveryMs, tail };
      const trace = traceFrom(series, seen, rhythm, plot.scale);
      const style = Math.max(0, order.indexOf(id));
      const before = beforeOf(weekBefore, id, (old, bucketMs) =>
        traceFrom(old, span, { bucketMs, expectedEveryMs }, plot.scale),
      );
      return { id, label, style, series, rhythm, trace, before };
    }),
  }));
}

function beforeOf(
  answer: HistoryAnswer | null,
  id: string,
  trace: (series: Series, bucketMs: number) => Trace,
): DrawnPoint['before'] {
  const series = answer?.series.find(({ pointId }) => pointId === id);
  if (answer === null || series === undefined) return null;
  return { series, trace: trace(series, answer.bucketMs) };
}
