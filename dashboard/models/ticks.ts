/** Where the time axis is marked, and what the marks say: round times of the local clock. Pure. */
import { clockText, dateText, dayOfYearText, secondsText } from '../format.ts';

const SECOND = 1_000;
const MINUTE = 60 * SECOND;
const HOUR = 60 * MINUTE;
const DAY = 24 * HOUR;
const STEPS = [
  ...[1, 2, 5, 10, 15, 30].map((n) => n * SECOND),
  ...[1, 2, 5, 10, 15, 30].map((n) => n * MINUTE),
  ...[1, 2, 3, 6, 12].map((n) => n * HOUR),
  ...[1, 2, 7, 14, 28, 91, 182, 364].map((n) => n * DAY),
];

export interface Tick {
  atMs: number;
  text: string;
}

/** The smallest round step that gives at most `most` marks. */
export function stepFor(spanMs: number, most: number): number {
  return STEPS.find((step) => spanMs / step <= most) ?? spanMs;
}

function textFor(atMs: number, stepMs: number, zone: string | undefined): string {
  // Over so long a time the day of the week says nothing, and the year does.
  if (stepMs >= 28 * DAY) return dayOfYearText(atMs, zone);
  if (stepMs >= DAY) return dateText(atMs, zone);
  return stepMs < MINUTE ? secondsText(atMs, zone) : clockText(atMs, atMs, zone);
}

/**
 * Marks from `fromMs` to `toMs` at round local times. `offsetMinutes` is what
 * `Date.prototype.getTimezoneOffset` gives at that time: minutes that the zone is behind UTC.
 * Over a change of clocks the marks stay evenly spaced and the texts tell the true time.
 */
export function timeTicks(
  fromMs: number,
  toMs: number,
  most: number,
  offsetMinutes: number,
  zone?: string,
): Tick[] {
  const stepMs = stepFor(toMs - fromMs, most);
  const shiftMs = offsetMinutes * MINUTE;
  const ticks: Tick[] = [];
  const first = Math.ceil((fromMs - shiftMs) / stepMs) * stepMs + shiftMs;
  for (let atMs = first; atMs <= toMs; atMs += stepMs) {
    ticks.push({ atMs, text: textFor(atMs, stepMs, zone) });
  }
  return ticks;
}
