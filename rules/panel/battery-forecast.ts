/**
 * Hours left as a range: the recent drain and the pattern of the day, run forward hour by hour from
 * the charge that is left, once with everything on the bad side and once on the good.
 */
import type { Battery } from '../boat/boat.ts';
import type { DrainPattern } from './drain-pattern.ts';
import { drainSpread, hourOf, recentDrainAmps } from './drain-pattern.ts';
import type { HoursLeft } from './panel-state.ts';
import { drainCountedAs } from './peukert-drain.ts';

/** Nobody's use can be told further ahead; a longer time is told as this. */
export const MOST_HOURS = 240;

/** The pattern of the day weighs up to this, growing with the hours ahead. */
const PATTERN_WEIGHT = 0.5;
const PATTERN_HOURS = 3;
/** Days on which an hour must have been seen before it counts as a pattern. */
const PATTERN_DAYS = 2;

const HOUR_MS = 3_600_000;

/** Expected drain `ahead` hours from now. */
function drainAhead(
  pattern: DrainPattern,
  recentAmps: number,
  nowMs: number,
  ahead: number,
): number {
  const usual = pattern.hours[hourOf(nowMs + ahead * HOUR_MS)];
  if (!usual || usual.days < PATTERN_DAYS) return recentAmps;
  const weight = PATTERN_WEIGHT * (1 - Math.exp(-ahead / PATTERN_HOURS));
  return recentAmps * (1 - weight) + usual.amps * weight;
}

/**
 * Hours from `nowMs` until the bank is down to `floorRatio` with every drain changed by `spread`
 * (-1..1, positive for the worse). `MOST_HOURS` where it lasts longer. Solar by day counts as the
 * negative drain that it was on the days before.
 */
function hoursUntilFloor(
  battery: Pick<Battery, 'chemistry' | 'ampHours'>,
  pattern: DrainPattern,
  recentAmps: number,
  charge: number,
  floorRatio: number,
  spread: number,
  nowMs: number,
): number {
  const mostAmpHours = (1 - floorRatio) * battery.ampHours;
  let ampHours = (charge - floorRatio) * battery.ampHours;
  if (ampHours <= 0) return 0;
  for (let ahead = 0; ahead < MOST_HOURS; ahead++) {
    const expected = drainAhead(pattern, recentAmps, nowMs, ahead);
    const drain = expected + Math.abs(expected) * spread;
    const counted = drain > 0 ? drainCountedAs(battery, drain) : drain;
    if (counted >= ampHours) return ahead + ampHours / counted;
    ampHours = Math.min(mostAmpHours, ampHours - counted);
  }
  return MOST_HOURS;
}

/**
 * The range of hours until the floor from a charge of `charge` (0..1) that may be off by `doubt`.
 * Null where too little of its use has been seen.
 */
export function forecastHours(
  battery: Pick<Battery, 'chemistry' | 'ampHours'>,
  pattern: DrainPattern,
  { charge, doubt }: { charge: number; doubt: number },
  floorRatio: number,
  nowMs: number,
): HoursLeft | null {
  const recentAmps = recentDrainAmps(pattern);
  if (recentAmps === null) return null;
  const hours = (from: number, spread: number): number =>
    hoursUntilFloor(battery, pattern, recentAmps, from, floorRatio, spread, nowMs);
  const spread = drainSpread(pattern, hours(charge, 0));
  return {
    low: hours(Math.max(0, charge - doubt), spread),
    high: hours(Math.min(1, charge + doubt), -spread),
  };
}
