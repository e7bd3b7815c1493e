/** Why a person cannot do something about an alert, in a sentence for that person. */
import type { Act, Alert } from './alert.ts';
import { REVIEW_MOST_MS, shelveMostMs } from './life-times.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;

const isStanding = ({ phase }: Alert): boolean =>
  phase === 'unacknowledged' || phase === 'acknowledged';

/** Null where nothing stands in the way. To acknowledge twice is no mistake. */
export function objectionTo(alert: Alert, act: Act, nowMs: number): string | null {
  if (alert.phase === 'closed') return 'This alert is over.';
  switch (act.type) {
    case 'acknowledge':
      return null;
    case 'silence':
      return silenceObjection(alert);
    case 'shelve':
      return shelveObjection(alert, act.untilMs, nowMs);
    case 'unshelve':
      return alert.shelved ? null : 'This alert is not shelved.';
    case 'take out of service':
      return serviceObjection(alert, act.reason, act.reviewAtMs, nowMs);
    case 'put back in service':
      return alert.outOfService ? null : 'This alert is not out of service.';
    case 'inspect':
      if (isStanding(alert))
        return 'Its condition still holds: there is something to look for yet.';
      return alert.needsInspection ? null : 'This alert needs no inspection; acknowledge it.';
  }
}

function silenceObjection(alert: Alert): string | null {
  if (alert.priority === 'caution') return 'A caution makes no sound.';
  if (alert.shelved) return 'This alert is shelved and makes no sound.';
  if (alert.outOfService) return 'This alert is out of service and makes no sound.';
  if (alert.phase === 'unacknowledged') return null;
  return 'Only an alert that stands and is not acknowledged makes a sound.';
}

function shelveObjection(alert: Alert, untilMs: number, nowMs: number): string | null {
  if (alert.outOfService) return 'This alert is out of service; put it back in service first.';
  if (alert.phase === 'latched') {
    return 'This alert waits until somebody has looked at what it was about; shelving does not replace that.';
  }
  if (!(untilMs > nowMs)) return 'The end of shelving must lie ahead.';
  const mostMs = shelveMostMs(alert);
  if (untilMs - nowMs <= mostMs) return null;
  const whose = alert.needsInspection ? 'An alert that needs an inspection' : `A${article(alert)}`;
  return `${whose} can be shelved for at most ${mostMs / HOUR_MS} hours.`;
}

function article({ priority }: Alert): string {
  return /^[aeiou]/.test(priority) ? `n ${priority}` : ` ${priority}`;
}

function serviceObjection(
  alert: Alert,
  reason: string,
  reviewAtMs: number,
  nowMs: number,
): string | null {
  if (alert.priority === 'emergency alarm') {
    return 'An emergency alarm cannot be taken out of service; it can be shelved for at most 4 hours.';
  }
  if (alert.phase === 'latched') {
    return 'This alert waits until somebody has looked at what it was about; taking it out of service does not replace that.';
  }
  if (reason.trim() === '') return 'Taking an alert out of service needs a reason.';
  if (!(reviewAtMs > nowMs)) return 'The day of review must lie ahead.';
  if (reviewAtMs - nowMs <= REVIEW_MOST_MS) return null;
  return `The review must come within ${REVIEW_MOST_MS / DAY_MS} days.`;
}
