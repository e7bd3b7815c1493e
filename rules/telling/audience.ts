/** Who hears of an alert, and what each person is still to be told. */
import type { Mode } from '../alerts/alert.ts';
import { isMuted, isStanding } from '../alerts/alert-states.ts';
import type { RuleName } from '../catalogue/rule-names.ts';
import type { Knowing, Story } from './memory.ts';
import type { Contact } from './telling-settings.ts';
import { TOLD } from './telling-settings.ts';
import { byUrgency, isAlarm, isAtLeast } from './urgency.ts';

/** Nobody acknowledges an alarm: told once more, and once a day from then on. Common practice. */
const AGAIN_AFTER_MS = 24 * 3_600_000;

/** What has happened rather than holds: its end is no news. */
const ENDS_UNTOLD: ReadonlySet<string> = new Set<RuleName>(['failed-sign-ins']);

export const endsUntold = ({ alert }: Pick<Story, 'alert'>): boolean => ENDS_UNTOLD.has(alert.rule);

/** Told in the notice of many at once, and not by itself. */
const isInFlood = ({ alert }: Story): boolean =>
  alert.inFlood !== undefined && !isAlarm(alert.priority);

/** Whether the person is one of those who hear of this alert by now, in this mode. */
export function hears(contact: Contact, { alert, reach }: Story, mode: Mode): boolean {
  if (TOLD.indexOf(contact.told) > reach) return false;
  if (alert.priority === 'emergency alarm') return true;
  if (mode === 'work in progress' || !contact.modes.includes(mode)) return false;
  return isAtLeast(alert.priority, contact.priority);
}

/**
 * What the person is to be told now. Worked out anew at every step from how things stand, so that
 * whatever kept somebody from being told, they are told as soon as it no longer does. `dropped`: it
 * was owed and is not worth telling any more.
 */
export function nextOwed(
  knowing: Knowing,
  story: Story,
  hearsOfIt: boolean,
  nowMs: number,
): Knowing['owed'] | 'dropped' {
  const { owed, told, hearsTheEnd } = knowing;
  const { alert, seq } = story;
  if (isMuted(alert)) return null;
  if (!isStanding(alert)) {
    if (endsUntold(story)) return told || !owed ? null : 'dropped';
    if (told || hearsTheEnd)
      return owed?.why === 'over' ? owed : { why: 'over', sinceMs: nowMs, seq };
    if (!owed) return null;
    return isAlarm(alert.priority) ? owed : 'dropped';
  }
  if (!hearsOfIt || isInFlood(story)) return null;
  const isSeen = alert.phase === 'acknowledged';
  if (!told) {
    if (!isSeen) return owed ?? { why: 'new', sinceMs: nowMs, seq };
    // Those who hear first hear of an alarm all the same.
    return isAlarm(alert.priority) && story.reach === 0 ? owed : null;
  }
  if (isSeen) return null;
  const isWorse = byUrgency(alert.priority, told.priority) < 0;
  if (isWorse) return owed?.why === 'worse' ? owed : { why: 'worse', sinceMs: nowMs, seq };
  return owed?.why === 'again' ? owed : null;
}

/** Whether somebody who was told is told once more, because nobody acknowledges. */
export function isToldAgain({ told, owed }: Knowing, { alert }: Story, nowMs: number): boolean {
  if (!told || owed) return false;
  return (
    alert.priority === 'emergency alarm' ||
    (isAlarm(alert.priority) && (told.repeats === 0 || nowMs - told.atMs >= AGAIN_AFTER_MS))
  );
}
