/** Everything a report is made of, asked from the boat piece by piece. */
import { useEffect } from 'preact/hooks';
import type { Alert, BandsAnswer, HealthAnswer, PanelEvent } from '../daemon/api/contract.ts';
import { askAlertsBefore, askBands, askEvents, askHealth, type Answer } from './api.ts';
import { useAsked } from './asking.ts';
import type { Stretch } from './models/stretch.ts';
import { reportedAlerts, type ReportedAlert } from './models/report-alerts.ts';
import { useSurvey, type Surveying } from './surveying.ts';

export const MOST_ALERTS = 1000;
export const MOST_EVENTS = 1000;

export interface Reporting {
  survey: Surveying;
  alerts: ReportedAlert[] | null;
  areAlertsCut: boolean;
  /** Oldest first. */
  events: PanelEvent[] | null;
  areEventsCut: boolean;
  health: HealthAnswer | null;
  problems: string[];
}

type AskedAlerts = { bands: BandsAnswer; alerts: Alert[] };

/** The bands of the period, and its alerts in full, which say who acknowledged. */
async function askAlertsOf(span: Stretch): Promise<Answer<AskedAlerts>> {
  const [bands, alerts] = await Promise.all([
    askBands(span, MOST_ALERTS),
    askAlertsBefore(span.toMs, MOST_ALERTS),
  ]);
  if (!bands.ok) return bands;
  if (!alerts.ok) return alerts;
  return { ok: true, answer: { bands: bands.answer, alerts: alerts.answer.alerts } };
}

export function useReporting(span: Stretch): Reporting {
  const causes = [span.fromMs, span.toMs];
  const survey = useSurvey();
  useEffect(() => survey.ask(span), causes);
  const alerts = useAsked(() => askAlertsOf(span), causes);
  const events = useAsked(() => askEvents(span.fromMs, MOST_EVENTS, span.toMs), causes);
  const health = useAsked(askHealth, []);
  const isOfThis = alerts.answer?.bands.fromMs === Math.floor(span.fromMs);
  const { bands, alerts: found } = alerts.answer ?? { bands: null, alerts: [] };
  return {
    survey,
    alerts: bands !== null && isOfThis ? reportedAlerts(bands.alerts, found) : null,
    areAlertsCut: bands !== null && bands.alerts.length >= MOST_ALERTS,
    events: events.answer === null ? null : [...events.answer.events].reverse(),
    areEventsCut: (events.answer?.events.length ?? 0) >= MOST_EVENTS,
    health: health.answer,
    problems: [survey.problem, alerts.problem, events.problem, health.problem].filter(
      (problem) => problem !== null,
    ),
  };
}
