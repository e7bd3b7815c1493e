/** The sheets of a report: what it is about, the survey, the alerts, the cautions. */
import { ageText, coverageText, stampText } from '../format.ts';
import { boat } from '../live.ts';
import type { Stretch } from '../models/stretch.ts';
import { coverageOf, isEmpty } from '../models/survey-figures.ts';
import { periodText } from '../period-text.ts';
import { useReporting, type Reporting } from '../reporting.ts';
import { texts } from '../texts.ts';
import { Facts } from './facts.tsx';
import { Problem } from './problem.tsx';
import { ReportAlerts, ReportEvents } from './report-events.tsx';
import { ReportSurvey } from './report-survey.tsx';

const words = texts.report;

export interface ReportPaperProps {
  /** As chosen. */
  span: Stretch;
  /** When it was asked for: nothing is recorded after it. */
  nowMs: number;
  hasEvents: boolean;
}

function aboutOf({ span, nowMs }: ReportPaperProps, { survey, health }: Reporting) {
  const about = boat.value;
  const period = periodText(span);
  const coverage = survey.answer === null ? null : coverageOf(survey.answer);
  const facts: [string, string][] = [
    [words.boat, about === null ? texts.known.unknown : about.name],
    [words.span, span.toMs > nowMs ? words.untilNow(period, stampText(nowMs)) : period],
    [words.written, words.writtenBy(stampText(nowMs), about?.version ?? '')],
    [words.clock, health?.clock.says ?? words.clockUnknown],
  ];
  if (survey.answer !== null) {
    const isNone = coverage === null || isEmpty(survey.answer);
    const share = isNone
      ? words.noCoverage
      : words.coverageIs(coverageText(coverage.mean), coverageText(coverage.least));
    facts.push([words.coverage, share]);
  }
  return facts;
}

export function ReportPaper(props: ReportPaperProps) {
  const { span, nowMs, hasEvents } = props;
  const seen = { fromMs: span.fromMs, toMs: Math.max(span.fromMs + 1, Math.min(span.toMs, nowMs)) };
  const reporting = useReporting(seen);
  const { survey, alerts, events } = reporting;
  return (
    <article class="paper" aria-busy={survey.waitedMs !== null}>
      <h3>{words.title}</h3>
      {boat.value?.isDemo === true && <p class="paper-demo">{words.demo}</p>}
      <Facts facts={aboutOf(props, reporting)} />
      {reporting.problems.map((problem) => (
        <Problem key={problem} text={problem} />
      ))}
      {survey.waitedMs !== null && (
        <p role="status">{texts.survey.working(ageText(survey.waitedMs))}</p>
      )}
      {survey.answer !== null &&
        (isEmpty(survey.answer) ? <p>{words.nothing}</p> : <ReportSurvey survey={survey.answer} />)}
      {alerts !== null && <ReportAlerts alerts={alerts} isCut={reporting.areAlertsCut} />}
      {hasEvents && events !== null && (
        <ReportEvents events={events} isCut={reporting.areEventsCut} />
      )}
      <section class="paper-cautions">
        <h4>{words.cautionsHeading}</h4>
        <ul>
          {words.cautions.map((caution) => (
            <li key={caution}>{caution}</li>
          ))}
        </ul>
      </section>
    </article>
  );
}
