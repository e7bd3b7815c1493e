/**
 * Days, months and years of the local calendar as stretches of time. `offsetAt` tells the zone's
 * offset at an instant, in minutes behind UTC as `Date.prototype.getTimezoneOffset` counts. Pure.
 */
import { lengthOf, panned, type Stretch } from './stretch.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;

export type OffsetAt = (atMs: number) => number;
export type CalendarUnit = 'day' | 'month' | 'year';

export interface CalendarDay {
  year: number;
  /** 1 to 12. */
  month: number;
  /** 1 to 31. */
  day: number;
}

/** The local day of an instant. */
export function dayOf(atMs: number, offsetAt: OffsetAt): CalendarDay {
  const local = new Date(atMs - offsetAt(atMs) * MINUTE_MS);
  return {
    year: local.getUTCFullYear(),
    month: local.getUTCMonth() + 1,
    day: local.getUTCDate(),
  };
}

/** The first instant of a local day; day 0, month 13 and the like run over as in `Date.UTC`. */
export function startOf({ year, month, day }: CalendarDay, offsetAt: OffsetAt): number {
  const asUtcMs = Date.UTC(year, month - 1, day);
  const wanted = new Date(asUtcMs).getUTCDate();
  // The offset belongs to the instant sought; near a change of clocks the second try is right.
  const firstMs = asUtcMs + offsetAt(asUtcMs) * MINUTE_MS;
  const startMs = asUtcMs + offsetAt(firstMs) * MINUTE_MS;
  // Where clocks change at midnight there may be none: the day then begins at one o'clock.
  // The boat's clock may be a fraction of a millisecond off; addresses hold whole ones.
  return Math.ceil(dayOf(startMs, offsetAt).day === wanted ? startMs : startMs + HOUR_MS);
}

const FIRST: Readonly<Record<CalendarUnit, (own: CalendarDay) => CalendarDay>> = {
  day: (own) => own,
  month: (own) => ({ ...own, day: 1 }),
  year: (own) => ({ ...own, month: 1, day: 1 }),
};

const NEXT: Readonly<Record<CalendarUnit, (own: CalendarDay, by: number) => CalendarDay>> = {
  day: (own, by) => ({ ...own, day: own.day + by }),
  month: (own, by) => ({ ...own, month: own.month + by }),
  year: (own, by) => ({ ...own, year: own.year + by }),
};

/** The whole day, month or year that a day lies in, or one so many later. */
export function wholeOf(
  unit: CalendarUnit,
  day: CalendarDay,
  offsetAt: OffsetAt,
  later = 0,
): Stretch {
  const first = FIRST[unit](day);
  return {
    fromMs: startOf(NEXT[unit](first, later), offsetAt),
    toMs: startOf(NEXT[unit](first, later + 1), offsetAt),
  };
}

/** Which whole unit of the calendar a stretch is; null: none. */
export function unitOf({ fromMs, toMs }: Stretch, offsetAt: OffsetAt): CalendarUnit | null {
  const day = dayOf(fromMs, offsetAt);
  const units: readonly CalendarUnit[] = ['day', 'month', 'year'];
  return (
    units.find((unit) => {
      const whole = wholeOf(unit, day, offsetAt);
      return whole.fromMs === fromMs && whole.toMs === toMs;
    }) ?? null
  );
}

/** The stretch of the same kind before (-1) or after (1): a month after a month, else its length. */
export function neighbour(stretch: Stretch, by: -1 | 1, offsetAt: OffsetAt): Stretch {
  const unit = unitOf(stretch, offsetAt);
  if (unit === null) return panned(stretch, by);
  return wholeOf(unit, dayOf(stretch.fromMs, offsetAt), offsetAt, by);
}

const padded = (number: number, width: number): string => String(number).padStart(width, '0');

/** `2026-08-14`: what `<input type="date">` holds (HTML standard, date strings). */
export function dateInput({ year, month, day }: CalendarDay): string {
  return `${padded(year, 4)}-${padded(month, 2)}-${padded(day, 2)}`;
}

/** The day that such an input holds; null where it holds none. */
export function fromDateInput(text: unknown): CalendarDay | null {
  const parts = typeof text === 'string' ? /^(\d{4})-(\d\d)-(\d\d)$/.exec(text) : null;
  if (parts === null) return null;
  const [year, month, day] = parts.slice(1).map(Number);
  if (year === undefined || month === undefined || day === undefined) return null;
  const made = new Date(Date.UTC(year, month - 1, day));
  const isDay = made.getUTCMonth() === month - 1 && made.getUTCDate() === day;
  return isDay ? { year, month, day } : null;
}

/** A year as a person types it, 1970 to 2999; null where it is none. */
export function fromYearInput(text: unknown): number | null {
  if (typeof text !== 'string' || !/^\d{4}$/.test(text.trim())) return null;
  const year = Number(text);
  return year >= 1970 && year < 3000 ? year : null;
}

/** How many days of the calendar a stretch is long, rounded: a day of 25 hours is one. */
export const daysOf = (stretch: Stretch): number => Math.round(lengthOf(stretch) / (24 * HOUR_MS));
