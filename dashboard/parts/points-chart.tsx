/** A small chart of some points over a span, asked for when it is shown; nothing in it can be changed. */
import { useEffect, useMemo, useState } from 'preact/hooks';
import { askPoints } from '../api.ts';
import { useAsked } from '../asking.ts';
import { panel } from '../live.ts';
import { drawingsOf } from '../models/drawing.ts';
import { isDrawable } from '../models/traces.ts';
import { cutBefore, instantsOf, plotsFor, systemsOf } from '../models/trend-plan.ts';
import type { Span } from '../route.ts';
import { texts } from '../texts.ts';
import { openTrend, type TrendFeed } from '../trend-feed.ts';
import { TrendChart } from './chart.tsx';
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
    const opened = openTrend(points, span);
    setFeed(opened);
    return () => opened.stop();
  }, [key]);
  return points.length === 0 ? null : feed;
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
        <TrendChart key={drawing.plot.key} drawing={drawing} nowMs={nowMs} />
      ))}
    </div>
  );
}
