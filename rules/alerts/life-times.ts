/**
 * The times of an alert's life, all on the daemon's clock. Where a source is named the figure is
 * its; the others are common practice, fitted to a boat where nobody keeps a watch at the panel.
 */
import type { Alert, Priority } from './alert.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;

/**
 * Silenced and not acknowledged, an alarm sounds again after 30 s: IMO MSC.302(87), audible signals.
 * A warning may take up to five minutes.
 */
export const silenceMs = (priority: Priority): number =>
  priority === 'warning' ? 5 * MINUTE_MS : 30_000;

/** What can sink or burn the boat is not put away for longer than somebody stays aboard and awake. */
export const SHELVE_URGENT_MS = 4 * HOUR_MS;
export const SHELVE_MS = 8 * HOUR_MS;

/** Longest shelving of an alert. */
export const shelveMostMs = ({ priority, needsInspection }: Alert): number =>
  priority === 'emergency alarm' || needsInspection === true ? SHELVE_URGENT_MS : SHELVE_MS;

/** Said so long before a shelving ends; of a short one, when half of it is over. */
export const SHELVE_WARNING_MS = 5 * MINUTE_MS;

export const REVIEW_MOST_MS = 90 * DAY_MS;
export const REVIEW_AGAIN_MS = DAY_MS;

/** A standing alert is stale after a day (ISA-18.2): it has to be acknowledged anew. */
export const RE_ALARM_MS = DAY_MS;

/**
 * Waits before the steps of an alarm that nobody acknowledges: 30 s, 2 min and 5 min after it was
 * raised. The steps are those of a bridge watch alarm (IMO MSC.128(75)): sound, second, all.
 */
const LADDER_MS: readonly number[] = [30_000, 90_000, 3 * MINUTE_MS];
const REPEAT_MS = 5 * MINUTE_MS;
/** Repeats come half as often each time, but never further apart than this. */
const REPEAT_MOST_MS = { 'emergency alarm': HOUR_MS, alarm: 4 * HOUR_MS } as const;

/** Wait after a step until the next; null where nothing escalates. */
export function waitAfterMs(step: number, priority: Priority): number | null {
  if (priority !== 'emergency alarm' && priority !== 'alarm') return null;
  const ladder = LADDER_MS[step];
  if (ladder !== undefined) return ladder;
  const doublings = Math.min(step - LADDER_MS.length, 10);
  return Math.min(REPEAT_MS * 2 ** doublings, REPEAT_MOST_MS[priority]);
}

/** Over for longer than this, an alert that comes again climbs the steps from the first. */
export const LADDER_FORGOTTEN_MS = 5 * MINUTE_MS;

/** Come again for the third time within the window it chatters; over for the quiet time, no more. */
export const CHATTER_TIMES = 4;
export const CHATTER_WINDOW_MS = HOUR_MS;
export const CHATTER_QUIET_MS = 5 * MINUTE_MS;

/** More new alerts than this in ten minutes are a flood (EEMUA 191); fewer than the end are none. */
export const FLOOD_ABOVE = 10;
export const FLOOD_ENDS_BELOW = 5;
export const FLOOD_WINDOW_MS = 10 * MINUTE_MS;

/** After a longer break in watching, the steps of escalation go on where they stopped. */
export const BREAK_COUNTED_MS = HOUR_MS;
/** After any break longer than this, a due step waits so long, for the sensors may tell it is over. */
export const BREAK_GRACE_MS = 10_000;
