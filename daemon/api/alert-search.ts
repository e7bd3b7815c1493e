/** Alerts for a page of the list: the watch's open ones, those on the disk, and a search in both. */
import { setImmediate as turn } from 'node:timers/promises';
import type { Alert, AlertsQuery } from './contract.ts';
import type { ApiParts } from './parts.ts';

/** Read from the disk at once; some ten milliseconds of a small computer. */
const PAGE = 200;

/**
 * Open alerts as the watch has them, which is ahead of the disk when the disk refuses. Alerts raised
 * at one instant are never parted. A search goes through the record until it has found enough.
 */
export async function alertsFor(
  parts: ApiParts,
  query: AlertsQuery,
  signal?: AbortSignal,
): Promise<Alert[]> {
  const { phase, limit, before } = query;
  const isAsked = searchOf(query);
  const open = parts
    .openAlerts()
    .filter((alert) => (before === undefined || alert.raisedAtMs < before) && isAsked(alert));
  if (phase === 'open') return newest(open, limit);
  const openIds = new Set(parts.openAlerts().map(({ id }) => id));
  const isWanted = (alert: Alert): boolean => !openIds.has(alert.id) && isAsked(alert);
  const recorded = await recordedAlerts(parts, query, isWanted, signal);
  if (phase === 'past') return recorded;
  return newest([...open, ...recorded], limit).sort((a, b) => b.raisedAtMs - a.raisedAtMs);
}

async function recordedAlerts(
  { record }: ApiParts,
  { phase, limit, before }: AlertsQuery,
  isWanted: (alert: Alert) => boolean,
  signal?: AbortSignal,
): Promise<Alert[]> {
  const found: Alert[] = [];
  for (let last = before; ;) {
    const page = record.alerts({
      phase,
      limit: PAGE,
      ...(last !== undefined && { before: last }),
    });
    found.push(...page.filter(isWanted));
    if (found.length >= limit || page.length < PAGE) return newest(found, limit);
    last = Math.min(...page.map(({ raisedAtMs }) => raisedAtMs));
    await turn();
    signal?.throwIfAborted();
  }
}

/** Whether an alert is what was asked for, in words, priority, rule and subject. */
function searchOf({ text, priority, rule, subject }: AlertsQuery): (alert: Alert) => boolean {
  const words = text?.toLocaleLowerCase('en').split(/\s+/) ?? [];
  return (alert) => {
    const { part, leg, point } = alert.subject;
    if (priority !== undefined && alert.priority !== priority) return false;
    if (rule !== undefined && alert.rule !== rule) return false;
    if (subject !== undefined && part !== subject && point !== subject) return false;
    if (words.length === 0) return true;
    const { title, means, doThis, symptoms } = alert;
    const said = [title, means, doThis, alert.rule, part, leg, point]
      .concat(symptoms.map((symptom) => symptom.title))
      .join('\n')
      .toLocaleLowerCase('en');
    return words.every((word) => said.includes(word));
  };
}

/** The `limit` raised last and all that were raised with the last of them, in the order given. */
function newest(alerts: readonly Alert[], limit: number): Alert[] {
  const instants = alerts.map(({ raisedAtMs }) => raisedAtMs).sort((a, b) => b - a);
  const oldestMs = instants[limit - 1] ?? -Infinity;
  return alerts.filter(({ raisedAtMs }) => raisedAtMs >= oldestMs);
}
