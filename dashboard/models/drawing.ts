/** One chart, ready to be drawn: lines with breaks, the span, and the words beside it. Pure. */
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
}

export interface Drawing {
  plot: Plot;
  span: Gap;
  points: DrawnPoint[];
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
): Drawing[] {
  const tail = { fromMs: askedToMs, everyMs: lookEveryMs };
  const byId = new Map(answer.series.map((series) => [series.pointId, series]));
  return plots.map((plot) => ({
    plot,
    span,
    points: plot.points.map(({ id, label, unit, expectedEveryMs }) => {
      const series = byId.get(id) ?? { pointId: id, unit, buckets: [] };
      const rhythm = { bucketMs: answer.bucketMs, expectedEveryMs, tail };
      const trace = traceFrom(series, span, rhythm, plot.scale);
      return { id, label, style: Math.max(0, order.indexOf(id)), series, rhythm, trace };
    }),
  }));
}
