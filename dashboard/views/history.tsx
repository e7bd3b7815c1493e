/** Charts of any points over any time. */
import { useEffect, useMemo, useState } from 'preact/hooks';
import type { PointDescription } from '../../daemon/api/contract.ts';
import { askPoints } from '../api.ts';
import { useAsked } from '../asking.ts';
import { replaceRoute } from '../browser-route.ts';
import { boatNowMs, panel } from '../live.ts';
import { drawingsOf } from '../models/drawing.ts';
import { labelsOf } from '../models/feeding.ts';
import { cutBefore, follows, instantsOf, plotsFor, systemsOf } from '../models/trend-plan.ts';
import { TrendChart } from '../parts/chart.tsx';
import { PanelEvents } from '../parts/panel-events.tsx';
import { PointPicker } from '../parts/point-picker.tsx';
import { Problem } from '../parts/problem.tsx';
import { SpanPicker } from '../parts/span-picker.tsx';
import type { HistoryRoute } from '../route.ts';
import { texts } from '../texts.ts';
import { openTrend, type TrendFeed } from '../trend-feed.ts';

const words = texts.history;
const NO_LABELS: ReadonlyMap<string, string> = new Map();

function useFeed(route: HistoryRoute): TrendFeed | null {
  const [feed, setFeed] = useState<TrendFeed | null>(null);
  const key = JSON.stringify([route.points, route.span]);
  useEffect(() => {
    if (route.points.length === 0) {
      setFeed(null);
      return undefined;
    }
    const opened = openTrend(route.points, route.span);
    setFeed(opened);
    return () => opened.stop();
  }, [key]);
  return feed;
}

interface ChartsProps {
  route: HistoryRoute;
  points: readonly PointDescription[];
  drop: (pointId: string) => void;
}

function Charts({ route, points, drop }: ChartsProps) {
  const feed = useFeed(route);
  const state = feed?.state.value ?? null;
  const grown = state?.grown ?? null;
  const drawings = useMemo(() => {
    if (grown === null) return [];
    const span = instantsOf(route.span, grown.answer.toMs);
    const byId = new Map(points.map((point) => [point.id, point]));
    const chosen = route.points.flatMap((id) => byId.get(id) ?? []);
    const plots = plotsFor(chosen, systemsOf(panel.peek()));
    const shown = { ...grown, answer: cutBefore(grown.answer, span.fromMs) };
    return drawingsOf(plots, shown, span, route.points);
  }, [grown, points, route]);

  if (route.points.length === 0) return <p>{words.nothingChosen}</p>;
  const nowMs = panel.value?.atMs ?? grown?.answer.toMs ?? 0;
  return (
    <>
      {state?.problem !== null && state?.problem !== undefined && <Problem text={state.problem} />}
      {grown === null && state?.problem === null && <p class="soft">{texts.loading}</p>}
      {drawings.map((drawing) => (
        <TrendChart key={drawing.plot.key} drawing={drawing} nowMs={nowMs} drop={drop} />
      ))}
      {drawings.length > 0 && (
        <p class="soft legend">
          {words.line} {follows(route.span) && words.tail}
        </p>
      )}
    </>
  );
}

export function HistoryView({ route }: { route: HistoryRoute }) {
  const { answer, problem, again } = useAsked(askPoints, []);
  const points = answer?.points ?? null;
  const state = panel.value;
  const labels = state === null ? NO_LABELS : labelsOf(state);
  const nowMs = state?.atMs ?? null;
  const instants =
    nowMs === null && typeof route.span === 'string' ? null : instantsOf(route.span, nowMs ?? 0);
  const choose = (chosen: string[]) => replaceRoute({ ...route, points: chosen });
  return (
    <section aria-labelledby="history-heading">
      <h2 id="history-heading">{words.heading}</h2>
      <SpanPicker
        span={route.span}
        instants={instants}
        choose={(span) => replaceRoute({ ...route, span })}
      />
      {problem !== null && <Problem text={problem} again={again} />}
      {points !== null && (
        <>
          <PointPicker points={points} chosen={route.points} labels={labels} choose={choose} />
          <Charts
            route={route}
            points={points}
            drop={(id) => choose(route.points.filter((other) => other !== id))}
          />
        </>
      )}
      {boatNowMs.value !== null && <PanelEvents nowMs={boatNowMs.value} />}
    </section>
  );
}
