/**
 * The life of one alert as a pure function: (alert, what happened) to (alert, what to record).
 * Acknowledging never hides a condition that still holds; a condition that ends unacknowledged
 * stays on show until somebody has seen it, unless it was only a caution.
 */
import type { Alert, AlertEvent, Finding, Mode } from './alert.ts';
import { PRIORITIES } from './alert.ts';

export type Happening =
  | { type: 'raise'; finding: Finding }
  | { type: 'describe'; finding: Finding }
  | { type: 'hold' }
  | { type: 'resume' }
  | { type: 'return' }
  /** A cause is known now, and tells it. */
  | { type: 'fold'; into: string }
  | { type: 'acknowledge'; by: string }
  | { type: 'close' };

export interface Step {
  alert: Alert;
  /** What to record; null when nothing happened that a record needs. */
  type: AlertEvent['type'] | null;
}

export function newAlert(
  finding: Finding,
  { id, sinceMs, nowMs, mode }: { id: string; sinceMs: number; nowMs: number; mode: Mode },
): Alert {
  return {
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
}

const isMoreSevere = (a: Finding, b: Finding): boolean =>
  PRIORITIES.indexOf(a.priority) < PRIORITIES.indexOf(b.priority);

/** What becomes of `alert`. A closed alert stays closed whatever happens. */
export function advance(alert: Alert, happening: Happening, nowMs: number): Step {
  const same: Step = { alert, type: null };
  if (alert.phase === 'closed') return same;
  const isOver = alert.phase === 'returned';
  switch (happening.type) {
    case 'raise':
      if (!isOver) return same;
      return {
        alert: {
          ...alert,
          ...happening.finding,
          phase: 'unacknowledged',
          returnedAtMs: null,
          isHeld: false,
        },
        type: 'raised',
      };
    case 'describe': {
      if (isOver) return same;
      const described = { ...alert, ...happening.finding };
      if (described.priority === alert.priority) return { alert: described, type: null };
      // What got worse has to be seen again; what got better need not.
      const phase = isMoreSevere(described, alert) ? 'unacknowledged' : alert.phase;
      return { alert: { ...described, phase }, type: 'priority changed' };
    }
    case 'hold':
      if (isOver || alert.isHeld) return same;
      return { alert: { ...alert, isHeld: true }, type: 'held' };
    case 'resume':
      if (isOver || !alert.isHeld) return same;
      return { alert: { ...alert, isHeld: false }, type: 'resumed' };
    case 'return': {
      if (isOver) return same;
      const needsSeeing = alert.phase === 'unacknowledged' && alert.priority !== 'caution';
      return {
        alert: {
          ...alert,
          phase: needsSeeing ? 'returned' : 'closed',
          returnedAtMs: nowMs,
          isHeld: false,
        },
        type: 'returned',
      };
    }
    case 'acknowledge': {
      if (alert.phase === 'acknowledged') return same;
      return {
        alert: {
          ...alert,
          phase: isOver ? 'closed' : 'acknowledged',
          acknowledgedAtMs: nowMs,
          acknowledgedBy: happening.by,
        },
        type: 'acknowledged',
      };
    }
    case 'fold':
      return {
        alert: { ...alert, phase: 'closed', returnedAtMs: nowMs, isHeld: false },
        type: 'folded',
      };
    case 'close':
      return {
        alert: {
          ...alert,
          phase: 'closed',
          returnedAtMs: alert.returnedAtMs ?? nowMs,
          isHeld: false,
        },
        type: 'closed',
      };
  }
}
