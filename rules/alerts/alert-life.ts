/**
 * The life of one alert as a pure function: (alert, what happened) to (alert, what to record).
 * States and words follow ISA-18.2 / IEC 62682. Acknowledging never hides a condition that still
 * holds; a condition that ends unacknowledged stays on show until somebody has seen it, unless it
 * was only a caution; what is shelved or out of service is judged all the same and always comes back.
 */
import type { Act, Alert, AlertEvent, Ended, Finding, Mode, Symptom } from './alert.ts';
import {
  closed,
  isMoreSevere,
  isMuted,
  isStanding,
  muted,
  onLadder,
  over,
  takenUp,
  unmuted,
  unseen,
  without,
} from './alert-states.ts';
import {
  CHATTER_QUIET_MS,
  LADDER_FORGOTTEN_MS,
  RE_ALARM_MS,
  REVIEW_AGAIN_MS,
  SHELVE_WARNING_MS,
  silenceMs,
  waitAfterMs,
} from './life-times.ts';
import { objectionTo } from './objections.ts';

export type Happening =
  | { type: 'raise'; finding: Finding }
  | { type: 'describe'; finding: Finding }
  | { type: 'hold' }
  | { type: 'resume' }
  | { type: 'return' }
  /** A cause is known now, and tells it. */
  | { type: 'fold'; into: string }
  /** What follows from it and holds now. */
  | { type: 'join'; symptoms: readonly Symptom[] }
  /** It has come so often that it is kept raised. */
  | { type: 'chatter'; times: number }
  /** Time goes by: whatever is due happens, one thing a call. */
  | { type: 'pass' }
  | { type: 'close'; why?: Ended['why'] }
  /** The record holds it, and the watch has lost what it knew of it. */
  | { type: 'take up' }
  /** One that `objectionTo` objects to changes nothing. */
  | (Act & { by: string });

export interface Step {
  alert: Alert;
  /** What to record; null when nothing happened that a record needs. */
  type: AlertEvent['type'] | null;
}

export function newAlert(
  finding: Finding,
  { id, sinceMs, nowMs, mode }: { id: string; sinceMs: number; nowMs: number; mode: Mode },
): Alert {
  const alert: Alert = {
    ...finding,
    id,
    phase: 'unacknowledged',
    sinceMs,
    raisedAtMs: nowMs,
    acknowledgedAtMs: null,
    acknowledgedBy: null,
    returnedAtMs: null,
    isHeld: false,
    symptoms: [],
    mode,
  };
  return onLadder(alert, nowMs);
}

/** What becomes of `alert`. A closed alert stays closed whatever happens. */
export function advance(alert: Alert, happening: Happening, nowMs: number): Step {
  const same: Step = { alert, type: null };
  if (alert.phase === 'closed') return same;
  switch (happening.type) {
    case 'raise':
      return isStanding(alert) ? same : comesAgain(alert, happening.finding, nowMs);
    case 'describe':
      return isStanding(alert) ? described(stirred(alert), happening.finding, nowMs) : same;
    case 'hold':
      if (!isStanding(alert) || alert.isHeld) return { alert: stirred(alert, false), type: null };
      return { alert: { ...stirred(alert, false), isHeld: true }, type: 'held' };
    case 'resume':
      if (!isStanding(alert) || !alert.isHeld) return { alert: stirred(alert), type: null };
      return { alert: { ...stirred(alert), isHeld: false }, type: 'resumed' };
    case 'return':
      return isStanding(alert) ? returns(alert, nowMs) : same;
    case 'fold':
      return folded(alert, happening.into, nowMs);
    case 'join':
      return joined(alert, happening.symptoms);
    case 'chatter': {
      if (!isStanding(alert) || alert.chattering) return same;
      const chattering = { sinceMs: nowMs, times: happening.times, quietSinceMs: null };
      return { alert: { ...alert, chattering }, type: 'chattering' };
    }
    case 'pass':
      return timePasses(alert, nowMs);
    case 'close':
      return closedBySystem(alert, happening.why, nowMs);
    case 'take up':
      return { alert: takenUp(alert, nowMs), type: 'taken up' };
    case 'acknowledge':
    case 'silence':
    case 'shelve':
    case 'unshelve':
    case 'take out of service':
    case 'put back in service':
    case 'inspect':
      return objectionTo(alert, happening, nowMs) === null ? acted(alert, happening, nowMs) : same;
  }
}

function acted(alert: Alert, act: Act & { by: string }, nowMs: number): Step {
  const { by } = act;
  const mute = { by, atMs: nowMs, priority: alert.priority };
  switch (act.type) {
    case 'acknowledge':
      return acknowledged(alert, by, nowMs);
    case 'silence': {
      const silenced = { by, atMs: nowMs, untilMs: nowMs + silenceMs(alert.priority) };
      return { alert: { ...alert, silenced }, type: 'silenced' };
    }
    case 'shelve': {
      const { untilMs, reason } = act;
      const shelved = { ...mute, untilMs, isWarned: false, ...(reason && { reason }) };
      return { alert: { ...muted(alert), shelved }, type: 'shelved' };
    }
    case 'take out of service': {
      const { reason, reviewAtMs } = act;
      const outOfService = { ...mute, reason, reviewAtMs, nextReviewAtMs: reviewAtMs };
      return { alert: { ...muted(alert), outOfService }, type: 'out of service' };
    }
    case 'unshelve':
      return { alert: unmuted(alert, nowMs), type: 'unshelved' };
    case 'put back in service':
      return { alert: unmuted(alert, nowMs), type: 'back in service' };
    case 'inspect': {
      const seen = { acknowledgedAtMs: nowMs, acknowledgedBy: by };
      const own = alert.acknowledgedAtMs === null ? { ...alert, ...seen } : alert;
      return { alert: closed(own, nowMs), type: 'inspected' };
    }
  }
}

function acknowledged(alert: Alert, by: string, nowMs: number): Step {
  if (alert.phase === 'acknowledged' || alert.phase === 'latched') return { alert, type: null };
  const seen: Alert = { ...alert, acknowledgedAtMs: nowMs, acknowledgedBy: by };
  const type = 'acknowledged';
  if (isStanding(alert)) {
    const quiet = without(seen, 'silenced', 'escalation');
    const again = alert.priority !== 'caution' && { reAlarmAtMs: nowMs + RE_ALARM_MS };
    return { alert: { ...quiet, phase: 'acknowledged', ...again }, type };
  }
  if (alert.needsInspection) return { alert: over(seen, 'latched'), type };
  return { alert: closed(seen, nowMs), type };
}

/** Its condition holds again before it was closed. */
function comesAgain(alert: Alert, finding: Finding, nowMs: number): Step {
  const again: Alert = {
    ...without(alert, 'ended'),
    ...finding,
    returnedAtMs: null,
    isHeld: false,
  };
  const told = unseen(isBeyondMute(again) ? without(again, 'shelved', 'outOfService') : again);
  const fresh = onLadder(told, nowMs);
  const overForMs = nowMs - (alert.returnedAtMs ?? nowMs);
  // What comes and goes must not keep beginning anew with the first step.
  const { escalation } = alert;
  const goesOn = escalation && fresh.escalation && overForMs <= LADDER_FORGOTTEN_MS;
  return { alert: goesOn ? { ...fresh, escalation } : fresh, type: 'raised' };
}

function described(alert: Alert, finding: Finding, nowMs: number): Step {
  const next: Alert = { ...alert, ...finding };
  if (next.priority === alert.priority) return { alert: next, type: null };
  const type = 'priority changed';
  // What got better need not be seen again.
  if (!isMoreSevere(next, alert)) {
    const isCalm = waitAfterMs(0, next.priority) === null;
    const calm = next.priority === 'caution' ? without(next, 'reAlarmAtMs') : next;
    return { alert: isCalm ? without(calm, 'escalation') : calm, type };
  }
  // What got worse has to be, whatever was said of the lesser condition.
  const told = isBeyondMute(next) ? without(next, 'shelved', 'outOfService') : next;
  return { alert: onLadder(unseen(told), nowMs), type };
}

/** Worse than what the person knew who put it away. */
function isBeyondMute(alert: Alert): boolean {
  const known = alert.shelved ?? alert.outOfService;
  return known !== undefined && isMoreSevere(alert, known);
}

function returns(alert: Alert, nowMs: number): Step {
  const { chattering } = alert;
  if (chattering) {
    const quietSinceMs = chattering.quietSinceMs ?? nowMs;
    if (nowMs - quietSinceMs < CHATTER_QUIET_MS) {
      const type = alert.isHeld ? 'resumed' : null;
      return {
        alert: { ...alert, isHeld: false, chattering: { ...chattering, quietSinceMs } },
        type,
      };
    }
  }
  return { alert: returned(alert, nowMs), type: 'returned' };
}

function returned(alert: Alert, nowMs: number): Alert {
  const own: Alert = { ...alert, returnedAtMs: nowMs };
  if (alert.phase === 'acknowledged') {
    if (alert.needsInspection) return over(own, 'latched');
    // It stays where it was put, lest it come back as a new one that nobody put away.
    return isMuted(alert) ? over(own, 'returned') : closed(own, nowMs);
  }
  const needsNobody = alert.priority === 'caution' && !alert.needsInspection && !isMuted(alert);
  return needsNobody ? closed(own, nowMs) : over(own, 'returned');
}

/** The cause tells it from here on; what was put away or waits for an inspection is not forgotten. */
function folded(alert: Alert, into: string, nowMs: number): Step {
  const type = 'folded';
  if (isMuted(alert) || alert.needsInspection) {
    if (!isStanding(alert)) return { alert, type: null };
    return { alert: returned(alert, nowMs), type };
  }
  const ended: Ended = { why: 'told with its cause', cause: into };
  return { alert: { ...closed({ ...alert, returnedAtMs: nowMs }, nowMs), ended }, type };
}

function closedBySystem(alert: Alert, why: Ended['why'] | undefined, nowMs: number): Step {
  if (why === 'not told in this mode' && (isMuted(alert) || alert.needsInspection)) {
    if (!isStanding(alert)) return { alert, type: null };
    return { alert: returned(alert, nowMs), type: 'returned' };
  }
  if (why === 'lost in a restart' && alert.needsInspection) {
    return { alert: { ...returned(alert, nowMs), ended: { why } }, type: 'returned' };
  }
  return { alert: { ...closed(alert, nowMs), ...(why && { ended: { why } }) }, type: 'closed' };
}

function joined(alert: Alert, symptoms: readonly Symptom[]): Step {
  // What was once a symptom stays on the list: it belongs to the story of this alert.
  const known = alert.symptoms.filter((old) => !symptoms.some((own) => own.key === old.key));
  const isNew = known.length + symptoms.length > alert.symptoms.length;
  return {
    alert: { ...alert, symptoms: [...known, ...symptoms] },
    type: isNew ? 'symptom joined' : null,
  };
}

function timePasses(alert: Alert, nowMs: number): Step {
  const { shelved, outOfService, silenced, escalation } = alert;
  if (shelved && nowMs >= shelved.untilMs) {
    return { alert: unmuted(alert, nowMs), type: 'unshelved' };
  }
  if (shelved && !shelved.isWarned) {
    const mostMs = (shelved.untilMs - shelved.atMs) / 2;
    if (nowMs >= shelved.untilMs - Math.min(SHELVE_WARNING_MS, mostMs)) {
      return {
        alert: { ...alert, shelved: { ...shelved, isWarned: true } },
        type: 'shelving ends soon',
      };
    }
  }
  if (outOfService && nowMs >= outOfService.nextReviewAtMs) {
    const next = { ...outOfService, nextReviewAtMs: nowMs + REVIEW_AGAIN_MS };
    return { alert: { ...alert, outOfService: next }, type: 'review due' };
  }
  if (silenced && nowMs >= silenced.untilMs) {
    return { alert: without(alert, 'silenced'), type: 'silence over' };
  }
  if (isMuted(alert)) return { alert, type: null };
  if (alert.reAlarmAtMs !== undefined && nowMs >= alert.reAlarmAtMs) {
    return { alert: onLadder(unseen(alert), nowMs), type: 're-alarmed' };
  }
  if (alert.phase !== 'unacknowledged') return { alert, type: null };
  // Saved before there was escalation, or it only now matters.
  if (!escalation) return { alert: onLadder(alert, nowMs), type: null };
  if (nowMs < escalation.nextAtMs) return { alert, type: null };
  return { alert: onLadder(alert, nowMs, escalation.step + 1), type: 'escalated' };
}

/** The condition of a chattering alert is not over any more, or cannot be seen to be. */
function stirred(alert: Alert, isBack = true): Alert {
  const { chattering } = alert;
  if (!chattering || chattering.quietSinceMs === null) return alert;
  const times = chattering.times + (isBack ? 1 : 0);
  return { ...alert, chattering: { ...chattering, times, quietSinceMs: null } };
}
