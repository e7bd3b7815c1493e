/**
 * Open alerts as notifications of open marine data (specification 1.x, "Alarm, Alert, and Notification
 * Handling"): one path for each rule and subject, so that an alert that comes again takes the
 * place of the one before it. Pure.
 */
import type { Alert, Priority } from '../../rules/index.ts';

type State = 'emergency' | 'alarm' | 'warn' | 'alert' | 'normal';

export interface Notification {
  path: string;
  value: {
    state: State;
    method: ('visual' | 'sound')[];
    message: string;
    timestamp: string;
  };
}

export interface MarineDelta {
  context: 'vessels.self';
  updates: [{ source: { label: string }; timestamp: string; values: Notification[] }];
}

const STATES: Record<Priority, State> = {
  'emergency alarm': 'emergency',
  alarm: 'alarm',
  warning: 'warn',
  caution: 'alert',
};

/** Those of `before` that are no longer open are said to be normal. Sorted by path. */
export function notificationsOf(
  alerts: readonly Alert[],
  before: readonly Notification[],
  utcNowMs: number,
): Notification[] {
  const now = new Map<string, Notification>();
  // The most urgent first, as the watch orders them: of two on one path that one is told.
  for (const alert of alerts) {
    const told = notificationOf(alert, utcNowMs);
    if (!now.has(told.path)) now.set(told.path, told);
  }
  for (const { path, value } of before) {
    if (now.has(path)) continue;
    const timestamp = new Date(utcNowMs).toISOString();
    now.set(path, { path, value: { ...value, state: 'normal', method: [], timestamp } });
  }
  return [...now.values()].sort((a, b) => (a.path < b.path ? -1 : 1));
}

function notificationOf(alert: Alert, utcNowMs: number): Notification {
  const isOver =
    alert.phase === 'returned' || alert.phase === 'latched' || alert.phase === 'closed';
  const isQuiet =
    alert.phase !== 'unacknowledged' ||
    [alert.silenced, alert.shelved, alert.outOfService].some((each) => each !== undefined);
  return {
    path: pathOf(alert),
    value: {
      state: isOver ? 'normal' : STATES[alert.priority],
      method: isOver ? [] : isQuiet ? ['visual'] : ['visual', 'sound'],
      message: `${alert.title}. ${alert.doThis}`,
      timestamp: new Date(utcNowMs).toISOString(),
    },
  };
}

/** Paths are letters, digits and hyphens between dots. */
function pathOf({ rule, subject }: Alert): string {
  const parts = [rule, subject.part, subject.leg, subject.point].flatMap((part) => part ?? []);
  const words = parts.map((part) => part.replaceAll(/[^A-Za-z0-9-]+/g, '-'));
  return ['notifications', 'electrical', 'panelward', ...words].join('.');
}

export function deltaOf(values: Notification[], utcNowMs: number): MarineDelta {
  const timestamp = new Date(utcNowMs).toISOString();
  return {
    context: 'vessels.self',
    updates: [{ source: { label: 'panelward' }, timestamp, values }],
  };
}
