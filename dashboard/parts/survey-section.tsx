/** What everything came to in the time of the charts: energy by circuit, load duration. */
import { useEffect } from 'preact/hooks';
import type { PointDescription, SurveyAnswer } from '../../daemon/api/contract.ts';
import { SURVEY_HEADING } from '../focus.ts';
import { ageText } from '../format.ts';
import { panel } from '../live.ts';
import { daysOf } from '../models/calendar.ts';
import { lengthOf, type Stretch } from '../models/stretch.ts';
import { durationCurve, energyRows, isEmpty, notMeasured } from '../models/survey-figures.ts';
import { plotsFor, systemsOf } from '../models/trend-plan.ts';
import { periodText } from '../period-text.ts';
import { useSurvey } from '../surveying.ts';
import { texts } from '../texts.ts';
import { DurationCurve } from './duration-curve.tsx';
import { EnergyList } from './energy-list.tsx';
import { Problem } from './problem.tsx';

const words = texts.survey;
const DAY_MS = 24 * 3_600_000;
/** Longer times are added up only when somebody asks for it: they cost the boat's processor. */
const ASKED_BY_ITSELF_MS = 32 * DAY_MS;

export interface SurveySectionProps {
  span: Stretch;
  /** Equal for the same choice of time, though its instants move on. */
  spanKey: string;
  /** The span ends now, so that adding up again gives more. */
  isMoving: boolean;
  chosen: readonly PointDescription[];
  addressOf: (partId: string) => string | null;
}

function Energy({
  answer,
  addressOf,
}: { answer: SurveyAnswer } & Pick<SurveySectionProps, 'addressOf'>) {
  const span = { fromMs: answer.fromMs, toMs: answer.toMs };
  const period = periodText(span);
  const circuits = energyRows(answer, 'circuit');
  const sources = energyRows(answer, 'source');
  const state = panel.value;
  const left = state === null ? [] : notMeasured(answer, state);
  const hasBounds = [...circuits, ...sources].some(({ isUpperBound }) => isUpperBound);
  return (
    <>
      {circuits.length === 0 ? (
        <p class="soft">{words.noCircuits}</p>
      ) : (
        <EnergyList rows={circuits} label={words.of(period)} addressOf={addressOf} />
      )}
      {left.length > 0 && <p class="soft">{words.notMeasured(texts.list.and(left))}</p>}
      {sources.length > 0 && (
        <>
          <h4>{words.sources}</h4>
          <EnergyList rows={sources} label={words.ofSources(period)} addressOf={addressOf} />
        </>
      )}
      <p class="soft legend">
        {[
          words.gaps,
          ...(hasBounds ? [words.upperBound] : []),
          ...(answer.roughMs > 0 ? [words.rough(ageText(answer.roughMs))] : []),
        ].join(' ')}
      </p>
    </>
  );
}

function Durations({
  answer,
  chosen,
}: { answer: SurveyAnswer } & Pick<SurveySectionProps, 'chosen'>) {
  const plots = plotsFor(chosen, systemsOf(panel.peek()));
  const ofPoints = plots.flatMap(({ points, scale, unit, decimals }) =>
    points.map(({ id, label }) => {
      const found = answer.points.find((point) => point.id === id);
      const levels = (found?.values.loadDuration ?? []).map((level) =>
        level === null ? null : level * scale,
      );
      return { id, label, unit, decimals, spots: durationCurve(levels, answer.durationShares) };
    }),
  );
  const ofSources = answer.parts
    .filter(({ part }) => part === 'source')
    .map(({ id, label, power }) => {
      const levels = power.loadDuration.map((level) => (level === null ? null : level / 1000));
      const spots = durationCurve(levels, answer.durationShares);
      return { id, label, unit: 'kW', decimals: 2, spots };
    });
  const curves = (chosen.length > 0 ? ofPoints : ofSources).filter(({ spots }) => spots.length > 0);
  if (curves.length === 0) return null;
  return (
    <>
      <h3>{words.duration}</h3>
      <p class="soft legend">{words.durationAbout}</p>
      <div class="durations">
        {curves.map((curve) => (
          <DurationCurve key={curve.id} curve={curve} unit={curve.unit} decimals={curve.decimals} />
        ))}
      </div>
    </>
  );
}

export function SurveySection({ span, spanKey, isMoving, chosen, addressOf }: SurveySectionProps) {
  const { answer, problem, waitedMs, ask } = useSurvey();
  const isLong = lengthOf(span) > ASKED_BY_ITSELF_MS;
  useEffect(() => {
    if (!isLong) ask(span);
  }, [spanKey]);
  const isIdle = waitedMs === null;
  const isOfThis = answer !== null && (isMoving || Math.abs(answer.fromMs - span.fromMs) < 2);
  return (
    <section class="survey" aria-labelledby={SURVEY_HEADING} aria-busy={!isIdle}>
      <h3 id={SURVEY_HEADING} tabIndex={-1}>
        {words.heading}
      </h3>
      {problem !== null && <Problem text={problem} again={() => ask(span)} />}
      {!isIdle && <p role="status">{words.working(ageText(waitedMs))}</p>}
      {isIdle && isLong && !isOfThis && problem === null && (
        <p>
          {words.long(daysOf(span))}{' '}
          <button type="button" onClick={() => ask(span)}>
            {words.start}
          </button>
        </p>
      )}
      {isOfThis && isEmpty(answer) && <p class="soft">{words.empty}</p>}
      {isOfThis && !isEmpty(answer) && (
        <>
          <Energy answer={answer} addressOf={addressOf} />
          <Durations answer={answer} chosen={chosen} />
        </>
      )}
      {isOfThis && isMoving && isIdle && (
        <button type="button" onClick={() => ask(span)}>
          {words.again}
        </button>
      )}
    </section>
  );
}
