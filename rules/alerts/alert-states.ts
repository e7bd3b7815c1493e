/** The states that an alert can be in, and what it takes to be in each. `alert-life.ts` says when. */
import type { Alert, Finding } from './alert.ts';
import { PRIORITIES } from './alert.ts';
import { BREAK_COUNTED_MS, BREAK_GRACE_MS, waitAfterMs } from './life-times.ts';

/** What an alert has only while it is open. */
type Passing =
  'silenced' | 'shelved' | 'outOfService' | 'escalation' | 'reAlarmAtMs' | 'chattering' | 'ended';

/** The condition holds, as far as is known. */
export const isStanding = ({ phase }: Pick<Alert, 'phase'>): boolean =>
  phase === 'unacknowledged' || phase === 'acknowledged';

/** Told to nobody: shelved or out of service. */
export const isMuted = ({
  shelved,
  outOfService,
}: Pick<Alert, 'shelved' | 'outOfService'>): boolean =>
  shelved !== undefined || outOfService !== undefined;

export const isMoreSevere = (a: Pick<Finding, 'priority'>, b: Pick<Finding, 'priority'>): boolean =>
  PRIORITIES.indexOf(a.priority) < PRIORITIES.indexOf(b.priority);

/** On a step of its escalation, the next to come after the wait; no step where nothing escalates. */
export function onLadder(alert: Alert, nowMs: number, step = 0): Alert {
  const waitMs = waitAfterMs(step, alert.priority);
  if (waitMs === null || isMuted(alert)) return without(alert, 'escalation');
  return { ...alert, escalation: { step, nextAtMs: nowMs + waitMs } };
}

/** To be acknowledged, as if nobody had. */
export function unseen(alert: Alert): Alert {
  const open = without(alert, 'silenced', 'reAlarmAtMs');
  return { ...open, phase: 'unacknowledged', acknowledgedAtMs: null, acknowledgedBy: null };
}

/** Ready to be put away. */
export const muted = (alert: Alert): Alert =>
  without(alert, 'silenced', 'escalation', 'reAlarmAtMs', 'shelved', 'outOfService');

/** Comes back: what stands is told anew, even if it was acknowledged before it was put away. */
export function unmuted(alert: Alert, nowMs: number): Alert {
  const free = without(alert, 'shelved', 'outOfService');
  if (isStanding(alert)) return onLadder(unseen(free), nowMs);
  if (alert.phase === 'latched') return free;
  const needsSeeing = alert.acknowledgedAtMs === null && alert.priority !== 'caution';
  return needsSeeing || alert.needsInspection ? free : closed(free, nowMs);
}

/** No longer standing. Escalation stays in mind while it is `returned`: it may come again soon. */
export function over(alert: Alert, phase: 'returned' | 'latched' | 'closed'): Alert {
  const rest = without(alert, 'silenced', 'reAlarmAtMs', 'chattering');
  const own = phase === 'returned' ? rest : without(rest, 'escalation');
  return { ...own, phase, isHeld: false };
}

export function closed(alert: Alert, nowMs: number): Alert {
  const returnedAtMs = alert.returnedAtMs ?? nowMs;
  const rest = without(alert, 'shelved', 'outOfService');
  return { ...over(rest, 'closed'), returnedAtMs };
}

/**
 * An alert after a break in watching. What a person gave an end keeps it. Steps of escalation count
 * a short break; of a long one nobody knows how long it really was, so they go on where they were.
 * Either way a step that is due waits a moment, for the sensors may tell that it is over.
 */
export function afterBreak(alert: Alert, lastMs: number, nowMs: number): Alert {
  const breakMs = nowMs - lastMs;
  if (breakMs <= BREAK_GRACE_MS) return alert;
  const later = (dueMs: number): number => {
    const leftMs = Math.max(0, dueMs - lastMs);
    const countedMs = breakMs < BREAK_COUNTED_MS ? breakMs : 0;
    return nowMs + Math.max(leftMs - countedMs, Math.min(leftMs, BREAK_GRACE_MS));
  };
  const { escalation, reAlarmAtMs } = alert;
  return {
    ...alert,
    ...(escalation && { escalation: { ...escalation, nextAtMs: later(escalation.nextAtMs) } }),
    ...(reAlarmAtMs !== undefined && { reAlarmAtMs: later(reAlarmAtMs) }),
  };
}

/**
 * An alert from the record that the watch knew nothing of: held until a sensor confirms it. Its step
 * of escalation begins anew, for nobody knows how much of the wait is over.
 */
export function takenUp(alert: Alert, nowMs: number): Alert {
  if (!isStanding(alert)) return alert;
  const { escalation, reAlarmAtMs } = alert;
  const soonestMs = nowMs + BREAK_GRACE_MS;
  const held: Alert = {
    ...alert,
    isHeld: true,
    ...(reAlarmAtMs !== undefined && { reAlarmAtMs: Math.max(reAlarmAtMs, soonestMs) }),
  };
  return escalation ? onLadder(held, nowMs, escalation.step) : held;
}

export function without(alert: Alert, ...names: Passing[]): Alert {
  const rest = { ...alert };
  for (const name of names) delete rest[name];
  return rest;
}
