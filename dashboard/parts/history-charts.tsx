/** The charts of the chosen points; what was drawn stays until the next answer is there. */
import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import type { PointDescription } from '../../daemon/api/contract.ts';
import { panel } from '../live.ts';
import type { Backdrop } from '../models/bands.ts';
import { drawingsOf } from '../models/drawing.ts';
import type { Stretch } from '../models/stretch.ts';
import { cutBefore, follows, instantsOf, plotsFor, systemsOf } from '../models/trend-plan.ts';
import type { HistoryRoute, Span } from '../route.ts';
import { texts } from '../texts.ts';
import { openTrend, type TrendFeed, type TrendState } from '../trend-feed.ts';
import { TrendChart } from './chart.tsx';
import { Problem } from './problem.tsx';

const words = texts.history;

interface Shown {
  /** Points and span that it is the answer to. */
  pointsKey: string;
  spanKey: string;
  span: Span;
  state: TrendState;
}

function useFeed(route: HistoryRoute, isPatient: boolean): TrendFeed | null {
  const [feed, setFeed] = useState<TrendFeed | null>(null);
  const { points, span, isCompared = false } = route;
  useEffect(() => {
    if (points.length === 0) {
      setFeed(null);
      return undefined;
    }
    const opened = openTrend({ points, span, isCompared, isPatient });
    setFeed(opened);
    return () => opened.stop();
  }, [JSON.stringify([points, span, isCompared])]);
  return feed;
}

export interface HistoryChartsProps {
  route: HistoryRoute;
  points: readonly PointDescription[];
  backdrop: Backdrop;
  drop: (pointId: string) => void;
  move: (span: Stretch) => void;
  pick: (span: Stretch) => void;
}

export function HistoryCharts({ route, points, backdrop, drop, move, pick }: HistoryChartsProps) {
  const shown = useRef<Shown | null>(null);
  const pointsKey = route.points.join();
  const spanKey = JSON.stringify(route.span);
  if (shown.current?.pointsKey !== pointsKey) shown.current = null;
  const feed = useFeed(route, shown.current !== null);
  const state = feed?.state.value ?? null;
  const isOfThis = feed?.pointsKey === pointsKey && JSON.stringify(feed.span) === spanKey;
  if (state !== null && state.grown !== null && isOfThis) {
    shown.current = { pointsKey, spanKey, span: route.span, state };
  }
  const { span = route.span, state: drawn = null } = shown.current ?? {};
  const grown = drawn?.grown ?? null;
  const weekBefore = route.isCompared === true ? (drawn?.weekBefore ?? null) : null;
  const nowMs = panel.value?.atMs ?? grown?.answer.toMs ?? 0;
  const drawings = useMemo(() => {
    if (grown === null) return [];
    const instants = instantsOf(span, grown.answer.toMs);
    const byId = new Map(points.map((point) => [point.id, point]));
    const chosen = route.points.flatMap((id) => byId.get(id) ?? []);
    const plots = plotsFor(chosen, systemsOf(panel.peek()));
    const cut = { ...grown, answer: cutBefore(grown.answer, instants.fromMs) };
    const compared = { weekBefore, nowMs: panel.peek()?.atMs ?? instants.toMs };
    return drawingsOf(plots, cut, instants, route.points, compared);
  }, [grown, weekBefore, points, pointsKey]);

  if (route.points.length === 0) return <p>{words.nothingChosen}</p>;
  const problem = state?.problem ?? null;
  const isBusy = shown.current !== null && shown.current.spanKey !== spanKey;
  return (
    <>
      {problem !== null && <Problem text={problem} />}
      {grown === null && problem === null && <p class="soft">{texts.loading}</p>}
      {drawings.map((drawing) => (
        <TrendChart
          key={drawing.plot.key}
          drawing={drawing}
          backdrop={backdrop}
          nowMs={nowMs}
          wanted={instantsOf(route.span, nowMs)}
          isBusy={isBusy}
          drop={drop}
          move={move}
          pick={pick}
        />
      ))}
      {drawings.length > 0 && (
        <p class="soft legend">
          {[
            words.line,
            ...(follows(route.span, nowMs) ? [words.tail] : []),
            ...(route.isCompared === true ? [words.comparing] : []),
            words.behindLegend,
            words.howTo,
          ].join(' ')}
        </p>
      )}
    </>
  );
}
