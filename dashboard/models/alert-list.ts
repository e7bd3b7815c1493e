/** Which alerts are open, in which order they are read, and what is said aloud about changes. Pure. */
import type { Alert, AlertEvent, Priority } from '../../daemon/api/contract.ts';
import { texts } from '../texts.ts';
import { isPutAway } from './alert-states.ts';

export type OpenAlerts = ReadonlyMap<string, Alert>;

const URGENCY: Record<Priority, number> = {
  'emergency alarm': 0,
  alarm: 1,
  warning: 2,
  caution: 3,
};

/** Standing before returned, not acknowledged before acknowledged. */
const PHASE_ORDER = {
  unacknowledged: 0,
  acknowledged: 1,
  returned: 2,
  latched: 3,
  closed: 4,
} as const;

/** Most urgent first, then those that still need an answer, then the newest. */
export function inOrder(alerts: Iterable<Alert>): Alert[] {
  return [...alerts].sort(
    (a, b) =>
      URGENCY[a.priority] - URGENCY[b.priority] ||
      PHASE_ORDER[a.phase] - PHASE_ORDER[b.phase] ||
      b.raisedAtMs - a.raisedAtMs ||
      a.id.localeCompare(b.id),
  );
}

/** The open alerts as a whole answer gives them. */
export function openFrom(alerts: readonly Alert[]): OpenAlerts {
  return new Map(
    alerts.filter(({ phase }) => phase !== 'closed').map((alert) => [alert.id, alert]),
  );
}

/** The open alerts after one of them changed; a closed one leaves. */
export function withAlert(open: OpenAlerts, alert: Alert): OpenAlerts {
  const next = new Map(open);
  if (alert.phase === 'closed') next.delete(alert.id);
  else next.set(alert.id, alert);
  return next;
}

/** What a screen reader says about an event; null: nothing. */
export function announcementOf(event: AlertEvent): { text: string; isUrgent: boolean } | null {
  const { alert } = event;
  const isUrgent = alert.priority === 'emergency alarm' || alert.priority === 'alarm';
  switch (event.type) {
    case 'raised':
    case 'priority changed':
      return {
        text: texts.alerts.raised(texts.alerts.priority[alert.priority], alert.title),
        isUrgent,
      };
    case 'acknowledged':
      return { text: texts.alerts.acknowledged(alert.title, event.actor), isUrgent: false };
    case 'silenced':
    case 'shelved':
    case 'out of service':
    case 'back in service':
    case 'inspected':
      return { text: texts.acts.said[event.type](alert.title, event.actor), isUrgent: false };
    case 'returned':
      // Nobody knows that it is over.
      if (alert.ended !== undefined) return null;
      return { text: texts.alerts.returned(alert.title), isUrgent: false };
    case 'escalated':
    case 're-alarmed':
    case 'unshelved':
      if (alert.phase !== 'unacknowledged') return null;
      return {
        text: texts.alerts.still(texts.alerts.priority[alert.priority], alert.title),
        isUrgent,
      };
    case 'closed':
    case 'folded':
    case 'held':
    case 'resumed':
    case 'silence over':
    case 'shelving ends soon':
    case 'review due':
    case 'chattering':
    case 'symptom joined':
    case 'taken up':
      return null;
  }
}

/** True where a person still has to say that they know. */
export function awaitsAcknowledgement({ phase }: Alert): boolean {
  return phase === 'unacknowledged' || phase === 'returned';
}

/**
 * Whether the whole text stands open from the start: what is new and more than a caution, and what
 * somebody has to look at, for the cautions stand in it. Not what a person has put away.
 */
export function opensByItself(alert: Alert): boolean {
  const { phase, priority } = alert;
  if (phase === 'latched') return true;
  return phase === 'unacknowledged' && priority !== 'caution' && !isPutAway(alert);
}
