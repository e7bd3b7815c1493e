/** A small chart of some points over a span, asked for when it is shown; nothing in it can be changed. */
import { useEffect, useMemo, useState } from 'preact/hooks';
import { unitShown } from '../format.ts';
import { askPoints } from '../api.ts';
import { useAsked } from '../asking.ts';
import { panel } from '../live.ts';
import { drawingsOf, type Drawing } from '../models/drawing.ts';
import type { Backdrop } from '../models/bands.ts';
import { isDrawable } from '../models/traces.ts';
import { cutBefore, instantsOf, plotsFor, systemsOf } from '../models/trend-plan.ts';
import type { Span } from '../route.ts';
import { texts } from '../texts.ts';
import { openTrend, type TrendFeed } from '../trend-feed.ts';
import { ChartWords } from './chart-words.tsx';
import { useDrawnChart } from './drawn-chart.ts';
import { Problem } from './problem.tsx';

export interface PointsChartProps {
  points: readonly string[];
  span: Span;
  /** Said where none of the points can be drawn. */
  none: string;
}

function useFeed(points: readonly string[], span: Span): TrendFeed | null {
  const [feed, setFeed] = useState<TrendFeed | null>(null);
  const key = JSON.stringify([points, span]);
  useEffect(() => {
    if (points.length === 0) return undefined;
    const opened = openTrend({ points, span, isCompared: false, isPatient: false });
    setFeed(opened);
    return () => opened.stop();
  }, [key]);
  return points.length === 0 ? null : feed;
}

const NOTHING_BEHIND: Backdrop = { feeds: [], alerts: [], atMs: null };

/** One drawing, as it is: nothing in it can be moved or picked. */
function SmallChart({ drawing, nowMs }: { drawing: Drawing; nowMs: number }) {
  const { canvas, hasFailed } = useDrawnChart(drawing, NOTHING_BEHIND);
  const unit = unitShown(drawing.plot.unit);
  const labels = texts.list.and(drawing.points.map(({ label }) => label));
  return (
    <section class="chart">
      <h4>{texts.history.plot(texts.quantity[drawing.plot.quantity], unit)}</h4>
      {hasFailed ? (
        <p class="problem">{texts.history.drawingFailed}</p>
      ) : (
        <div class="chart-canvas">
          <canvas ref={canvas} role="img" aria-label={texts.history.unit(unit, labels)} />
        </div>
      )}
      <ChartWords drawing={drawing} nowMs={nowMs} />
    </section>
  );
}

export function PointsChart({ points, span, none }: PointsChartProps) {
  const { answer, problem, again } = useAsked(askPoints, []);
  const known = answer?.points ?? null;
  const chosen = useMemo(
    () => (known ?? []).filter((point) => points.includes(point.id) && isDrawable(point)),
    [known, points.join()],
  );
  const ids = chosen.map(({ id }) => id);
  const feed = useFeed(ids, span);
  const state = feed?.state.value ?? null;
  const grown = state?.grown ?? null;
  const drawings = useMemo(() => {
    if (grown === null) return [];
    const instants = instantsOf(span, grown.answer.toMs);
    const shown = { ...grown, answer: cutBefore(grown.answer, instants.fromMs) };
    return drawingsOf(plotsFor(chosen, systemsOf(panel.peek())), shown, instants, ids);
  }, [grown, chosen, JSON.stringify(span)]);

  if (problem !== null) return <Problem text={problem} again={again} />;
  if (known !== null && chosen.length === 0) return <p class="soft">{none}</p>;
  const trouble = state?.problem ?? null;
  const nowMs = panel.value?.atMs ?? grown?.answer.toMs ?? 0;
  return (
    <div class="small-charts">
      {trouble !== null && <Problem text={trouble} />}
      {drawings.length === 0 && trouble === null && <p class="soft">{texts.loading}</p>}
      {drawings.map((drawing) => (
        <SmallChart key={drawing.plot.key} drawing={drawing} nowMs={nowMs} />
      ))}
    </div>
  );
}
