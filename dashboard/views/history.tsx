/** What has been: charts of any points over any time, what happened beside them, what it came to. */
import { useEffect, useMemo, useRef } from 'preact/hooks';
import type { PointDescription } from '../../daemon/api/contract.ts';
import { askPoints } from '../api.ts';
import { useAsked } from '../asking.ts';
import { goToRoute, replaceRoute } from '../browser-route.ts';
import { useBeside } from '../history-beside.ts';
import { panel } from '../live.ts';
import { alertBands, busesNow, feedBands, type Backdrop, type FeedBand } from '../models/bands.ts';
import { labelOf, labelsOf } from '../models/feeding.ts';
import { around, lengthOf, untilNow, type Stretch } from '../models/stretch.ts';
import { isDrawable } from '../models/traces.ts';
import { firstPoints, instantsOf } from '../models/trend-plan.ts';
import { BehindWords } from '../parts/behind-words.tsx';
import { HappeningsList } from '../parts/happenings-list.tsx';
import { HistoryCharts } from '../parts/history-charts.tsx';
import { Exports, HistoryTools } from '../parts/history-tools.tsx';
import { PointPicker } from '../parts/point-picker.tsx';
import { Problem } from '../parts/problem.tsx';
import { SpanPicker } from '../parts/span-picker.tsx';
import { SurveySection } from '../parts/survey-section.tsx';
import { hashOf, MOST_POINTS, type HistoryRoute } from '../route.ts';
import { texts } from '../texts.ts';

const words = texts.history;
const NO_LABELS: ReadonlyMap<string, string> = new Map();
/** So much is shown around a moment that somebody asks for. */
const MOMENT_MS = 3_600_000;
const FIRST_POINTS = 4;

/** The address of a moment: an hour around it, or less where less is shown already. */
function momentOf(route: HistoryRoute, span: Stretch, nowMs: number, atMs: number): string {
  const length = Math.min(MOMENT_MS, lengthOf(span));
  const near = untilNow(around(atMs, length), Math.max(nowMs, atMs));
  return hashOf({ ...route, span: near, atMs });
}

/** The address at which a part's own points are drawn over the same time. */
function partAddress(route: HistoryRoute, points: readonly PointDescription[], part: string) {
  const own = points.filter((point) => point.of === part && isDrawable(point));
  const best = ['watts', 'amps']
    .map((quantity) => own.filter((point) => point.quantity === quantity))
    .find((some) => some.length > 0);
  if (best === undefined) return null;
  const ids = best.map(({ id }) => id);
  return hashOf({ ...route, points: ids.slice(0, MOST_POINTS) });
}

export function HistoryView({ route }: { route: HistoryRoute }) {
  const { answer, problem, again } = useAsked(askPoints, []);
  const points = answer?.points ?? null;
  const state = panel.value;
  const labels = state === null ? NO_LABELS : labelsOf(state);
  const nowMs = state?.atMs ?? null;
  const isMoving = typeof route.span === 'string';
  const span = nowMs === null && isMoving ? null : instantsOf(route.span, nowMs ?? 0);
  const spanKey = JSON.stringify(route.span);
  const past =
    span !== null && nowMs !== null && span.fromMs < nowMs
      ? { fromMs: span.fromMs, toMs: Math.min(span.toMs, nowMs) }
      : span;
  const beside = useBeside(past, spanKey);
  const backdrop = useMemo((): Backdrop => {
    const atMs = route.atMs ?? null;
    if (beside.bands === null || past === null || state === null) {
      return { feeds: [], alerts: [], atMs };
    }
    const name = (ids: readonly string[]) => texts.list.and(ids.map((id) => labelOf(labels, id)));
    const say = ({ sources, lost }: FeedBand) => {
      if (sources.length === 0) return words.fedUnknown;
      return lost.length === 0 ? name(sources) : words.fedLost(name(sources), name(lost));
    };
    const bands = feedBands(beside.bands, busesNow(state), past);
    const feeds = bands.map((band) => ({ band, text: say(band) }));
    return { feeds, alerts: alertBands(beside.bands, past), atMs };
  }, [beside.bands, past?.fromMs, past?.toMs, route.atMs, labels]);

  // Whoever comes without a choice sees something at once.
  const isAtStart = useRef(route.points.length === 0);
  useEffect(() => {
    if (!isAtStart.current || points === null || state === null) return;
    isAtStart.current = false;
    const first = firstPoints(points, state, FIRST_POINTS);
    if (route.points.length === 0) replaceRoute({ ...route, points: first });
  }, [points, state === null]);

  const choose = (chosen: string[]) => replaceRoute({ ...route, points: chosen });
  const { atMs: _mark, ...unmarked } = route;
  const show = (next: Stretch) =>
    nowMs === null ? next : next.fromMs >= nowMs ? untilNow(next, nowMs) : next;
  const move = (next: Stretch) => replaceRoute({ ...unmarked, span: show(next) });
  const byId = new Map((points ?? []).map((point) => [point.id, point]));
  const chosen = route.points.flatMap((id) => byId.get(id) ?? []);
  return (
    <section class="history" aria-labelledby="history-heading">
      <h2 id="history-heading">{words.heading}</h2>
      <SpanPicker
        span={route.span}
        instants={span}
        nowMs={nowMs}
        choose={(next) => replaceRoute({ ...unmarked, span: next })}
      />
      {problem !== null && <Problem text={problem} again={again} />}
      {points !== null && (
        <PointPicker points={points} chosen={route.points} labels={labels} choose={choose} />
      )}
      {span === null ? (
        <p class="soft">{texts.waiting}</p>
      ) : (
        <>
          <HistoryTools
            points={route.points}
            span={span}
            nowMs={nowMs}
            isCompared={route.isCompared === true}
            move={move}
            compare={(isCompared) => {
              const { isCompared: _old, ...others } = route;
              replaceRoute(isCompared ? { ...others, isCompared } : others);
            }}
          />
          {beside.problem !== null && <Problem text={beside.problem} again={beside.again} />}
          <div class="two-columns">
            <div>
              {points !== null && (
                <HistoryCharts
                  route={route}
                  points={points}
                  backdrop={backdrop}
                  drop={(id) => choose(route.points.filter((other) => other !== id))}
                  move={move}
                  pick={(next) => goToRoute({ ...unmarked, span: next })}
                />
              )}
              <Exports points={route.points} span={past ?? span} />
              <BehindWords backdrop={backdrop} span={span} />
            </div>
            <HappeningsList
              events={beside.events}
              alerts={backdrop.alerts}
              span={span}
              addressOf={(atMs) => momentOf(route, span, nowMs ?? span.toMs, atMs)}
              markedMs={route.atMs ?? null}
              isCut={beside.isCut}
            />
          </div>
          <SurveySection
            span={past ?? span}
            spanKey={spanKey}
            isMoving={isMoving || (nowMs !== null && span.toMs > nowMs)}
            chosen={chosen}
            addressOf={(part) => partAddress(route, points ?? [], part)}
          />
        </>
      )}
    </section>
  );
}
