/** How many letters one person gets by one way; what is over waits and becomes one. */
import type { Priority } from '../alerts/alert.ts';
import type { Sent } from './memory.ts';
import { isAlarm } from './urgency.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
/** Common practice for messages to a person. */
export const LETTERS_AN_HOUR = 20;
export const BETWEEN_LETTERS_MS = MINUTE_MS;

/** Siblings are waited for so long, so that one event is one letter. Common practice. */
export const GROUPING_MS: Record<Priority, number> = {
  'emergency alarm': 0,
  alarm: 5000,
  warning: 30_000,
  caution: 30_000,
};

export function mayWrite({ writtenAtMs }: Sent, nowMs: number): boolean {
  const last = writtenAtMs.at(-1);
  if (last !== undefined && nowMs - last < BETWEEN_LETTERS_MS) return false;
  return writtenAtMs.filter((atMs) => nowMs - atMs < HOUR_MS).length < LETTERS_AN_HOUR;
}

export function noteWritten(sent: Sent, nowMs: number): void {
  sent.writtenAtMs = [...sent.writtenAtMs.filter((atMs) => nowMs - atMs < HOUR_MS), nowMs];
}

/** Sleep is for what is less than an alarm. */
export const maySleep = (priority: Priority): boolean => !isAlarm(priority);
