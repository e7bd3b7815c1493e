/** What a chart needs beside its lines: alerts that overlap a span, and how sources changed. */
import type { Alert, AlertBand, BandsAnswer, BandsQuery } from './contract.ts';
import type { ApiParts } from './parts.ts';

export function bandsOf(parts: Parts, { from, to, limit }: BandsQuery): BandsAnswer {
  const { record } = parts;
  const open = new Map(parts.openAlerts().map((alert) => [alert.id, alert]));
  const recorded = record.alertsWithin(from, to, limit + 1);
  const recordedIds = new Set(recorded.map(({ alert }) => alert.id));
  const bands = recorded
    .map(({ alert, endedAtMs }) => bandOf(open.get(alert.id) ?? alert, endedAtMs))
    // The disk may refuse; the watch knows all the same.
    .concat(
      [...open.values()].filter(({ id }) => !recordedIds.has(id)).map((own) => bandOf(own, null)),
    )
    .filter(({ fromMs, toMs }) => fromMs < to && (toMs === null || toMs > from))
    .sort((a, b) => a.fromMs - b.fromMs);
  const events = record.sourceEvents(from, to, limit + 1);
  return {
    fromMs: from,
    toMs: to,
    alerts: bands.slice(-limit),
    sourceEvents: events.slice(-limit),
    before: record.sourceEventsBefore(from),
    isComplete: bands.length <= limit && events.length <= limit,
  };
}

interface Parts {
  record: Pick<ApiParts['record'], 'alertsWithin' | 'sourceEvents' | 'sourceEventsBefore'>;
  openAlerts(): Alert[];
}

function bandOf(alert: Alert, endedAtMs: number | null): AlertBand {
  const { id, rule, subject, priority, title, phase, raisedAtMs, returnedAtMs } = alert;
  const toMs = returnedAtMs ?? (phase === 'closed' ? endedAtMs : null);
  return { id, rule, subject, priority, title, phase, fromMs: raisedAtMs, toMs };
}
