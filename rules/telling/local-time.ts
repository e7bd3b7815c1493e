/** Instants as a clock on the boat's wall shows them, in one zone, across daylight saving. */
import type { HourAndMinute, Weekday } from './telling-settings.ts';
import { WEEKDAYS } from './telling-settings.ts';

export interface WallTime {
  /** `2026-06-01` */
  date: string;
  minuteOfDay: number;
  weekday: Weekday;
}

const WEEKDAY_BY_SHORT: ReadonlyMap<string, Weekday> = new Map(
  WEEKDAYS.map((day) => [day.slice(0, 3), day]),
);
const LAST_MS = 8.64e15;

export class LocalTime {
  readonly #format: Intl.DateTimeFormat;
  readonly #offsetMs: number;

  /** `offsetMs`: what has to be added to instants to have UTC. Throws where the zone is not known. */
  constructor(zone: string, offsetMs: number = 0) {
    this.#offsetMs = offsetMs;
    this.#format = new Intl.DateTimeFormat('en-GB', {
      timeZone: zone,
      hourCycle: 'h23',
      year: 'numeric',
      month: '2-digit',
      day: '2-digit',
      weekday: 'short',
      hour: '2-digit',
      minute: '2-digit',
    });
  }

  at(atMs: number): WallTime {
    const instant = Math.min(LAST_MS, Math.max(-LAST_MS, atMs + this.#offsetMs));
    const parts = new Map(
      this.#format.formatToParts(instant).map(({ type, value }) => [type, value]),
    );
    const part = (type: Intl.DateTimeFormatPartTypes): string => parts.get(type) ?? '';
    return {
      date: `${part('year')}-${part('month')}-${part('day')}`,
      minuteOfDay: Number(part('hour')) * 60 + Number(part('minute')),
      weekday: WEEKDAY_BY_SHORT.get(part('weekday').toLowerCase()) ?? 'monday',
    };
  }

  /** `03:10`; with its date, `2026-06-01 03:10`, where that is not the day of `nowMs`. */
  clock(atMs: number, nowMs: number): string {
    const own = this.at(atMs);
    const hours = clockWords(own.minuteOfDay);
    return own.date === this.at(nowMs).date ? hours : `${own.date} ${hours}`;
  }

  /** `03:10 to 03:25`, each with its date where it needs one. */
  span(fromMs: number, toMs: number, nowMs: number): string {
    const isOneDay = this.at(fromMs).date === this.at(toMs).date;
    const to = isOneDay ? clockWords(this.at(toMs).minuteOfDay) : this.clock(toMs, nowMs);
    return `${this.clock(fromMs, nowMs)} to ${to}`;
  }
}

const two = (n: number): string => String(n).padStart(2, '0');

const clockWords = (minuteOfDay: number): HourAndMinute =>
  `${two(Math.floor(minuteOfDay / 60))}:${two(minuteOfDay % 60)}`;

/** Minutes since midnight of `HH:MM`. */
export const minutesOf = (text: HourAndMinute): number =>
  Number(text.slice(0, 2)) * 60 + Number(text.slice(3, 5));

/** Whether a wall clock stands between two times of day; over midnight where `to` is earlier. */
export function isBetween(
  minuteOfDay: number,
  { from, to }: { from: HourAndMinute; to: HourAndMinute },
): boolean {
  const [start, end] = [minutesOf(from), minutesOf(to)];
  return start <= end
    ? minuteOfDay >= start && minuteOfDay < end
    : minuteOfDay >= start || minuteOfDay < end;
}

export function isTimeZone(name: string): boolean {
  try {
    return new Intl.DateTimeFormat('en-GB', { timeZone: name }).format(0) !== '';
  } catch {
    return false;
  }
}
