/** Order of what is told, and how long it is worth telling. */
import type { Priority } from '../alerts/alert.ts';
import { PRIORITIES } from '../alerts/alert.ts';

const HOUR_MS = 3_600_000;

/** How long a letter is worth sending. Common practice. */
export const EXPIRES_MS: Record<Priority, number> = {
  'emergency alarm': 72 * HOUR_MS,
  alarm: 72 * HOUR_MS,
  warning: 24 * HOUR_MS,
  caution: 6 * HOUR_MS,
};

/** Less than 0 where `a` is more urgent. */
export const byUrgency = (a: Priority, b: Priority): number =>
  PRIORITIES.indexOf(a) - PRIORITIES.indexOf(b);

export const isAtLeast = (priority: Priority, least: Priority): boolean =>
  byUrgency(priority, least) <= 0;

/** Alarms and emergency alarms: they wait for nobody's sleep, and are told even when they are over. */
export const isAlarm = (priority: Priority): boolean => isAtLeast(priority, 'alarm');

export const mostUrgent = (priorities: readonly Priority[], least: Priority): Priority =>
  priorities.reduce((most, own) => (byUrgency(own, most) < 0 ? own : most), least);
