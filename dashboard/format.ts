/**
 * Numbers, ages and times as the page writes them. Decimals are fixed for each unit, so that digits
 * do not dance: 0.1 A, 1 V on AC, 0.01 V on DC. Instants are the daemon's, and become UTC here (see
 * boat-clock.ts); the time zone can be given for tests.
 */
import type { LegState } from '../daemon/api/contract.ts';
import { utcOffsetMs } from './boat-clock.ts';
import { preferences } from './preferences.ts';
import { texts } from './texts.ts';

/** Shown where a value is not known. Never 0. */
export const DASH = '—';
/** Keeps a number and its unit on one line. */
const JOINED = '\u00a0';

export type Unit = 'A' | 'V' | 'W' | 'kW' | 'Hz' | '%' | '°C' | 'Ah' | '';
export type ElectricalSystem = 'ac' | 'dc';

const formats = new Map<number, Intl.NumberFormat>();

/** `value` with exactly `decimals` decimals and no negative zero. */
export function fixed(value: number, decimals: number): string {
  let format = formats.get(decimals);
  if (format === undefined) {
    format = new Intl.NumberFormat(texts.locale, {
      minimumFractionDigits: decimals,
      maximumFractionDigits: decimals,
      signDisplay: 'negative',
    });
    formats.set(decimals, format);
  }
  return format.format(value).replace('-', '−');
}

/** The unit as this screen shows it: °C may be °F here. */
export function unitShown(unit: string): string {
  return unit === '°C' ? preferences.value.degrees : unit;
}

/** A value in its own unit, as the number that stands before `unitShown` of that unit. */
export function valueShown(value: number, unit: string): number {
  return unitShown(unit) === '°F' ? value * 1.8 + 32 : value;
}

/** `12.5 A`, with a space that does not break. Degrees are those chosen for this screen. */
export function withUnit(value: number, decimals: number, unit: string): string {
  const text = fixed(valueShown(value, unit), decimals);
  return unit === '' ? text : `${text}${JOINED}${unitShown(unit)}`;
}

const CELSIUS_IN_WORDS = /([-−]?\d+(?:\.\d+)?)[ \u00a0]°C/g;

/** A sentence from the boat, which speaks in °C, with the degrees chosen for this screen. */
export function inOwnDegrees(sentence: string): string {
  if (preferences.peek().degrees === '°C') return sentence;
  return sentence.replaceAll(CELSIUS_IN_WORDS, (_, number: string) => {
    const decimals = number.split('.')[1]?.length ?? 0;
    return withUnit(Number(number.replace('−', '-')), decimals, '°C');
  });
}

/** Decimals for a unit as it is shown; volts of a DC system get two. */
export function decimalsOf(unit: string, system: ElectricalSystem = 'ac'): number {
  switch (unit) {
    case 'V':
      return system === 'dc' ? 2 : 0;
    case 'kW':
      return 2;
    case 'A':
    case 'Hz':
    case '°C':
      return 1;
    default:
      return 0;
  }
}

/** How a quantity is shown: unit, factor from the base unit, decimals. */
export interface Shown {
  unit: Unit;
  scale: number;
  decimals: number;
}

/** Base units in (W, ratio 0..1), shown units out (%, say). */
export function shownAs(quantity: string, system: ElectricalSystem): Shown {
  switch (quantity) {
    case 'volts':
      return { unit: 'V', scale: 1, decimals: decimalsOf('V', system) };
    case 'amps':
      return { unit: 'A', scale: 1, decimals: 1 };
    case 'watts':
      return { unit: 'W', scale: 1, decimals: 0 };
    case 'hertz':
      return { unit: 'Hz', scale: 1, decimals: 1 };
    case 'stateOfCharge':
      return { unit: '%', scale: 100, decimals: 0 };
    case 'celsius':
      return { unit: '°C', scale: 1, decimals: 1 };
    default:
      return { unit: '', scale: 1, decimals: 2 };
  }
}

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const DAY_MS = 24 * HOUR_MS;

function unitPair(first: number, firstUnit: string, second: number, secondUnit: string): string {
  const start = `${first}${JOINED}${firstUnit}`;
  return second === 0 ? start : `${start} ${second}${JOINED}${secondUnit}`;
}

/** A length of time in words, cut and never rounded up: `4 s`, `3 min`, `2 h 5 min`, `3 d 4 h`. */
export function ageText(ms: number): string {
  const age = Math.max(0, ms);
  if (age < MINUTE_MS) return `${Math.floor(age / 1000)}${JOINED}s`;
  if (age < HOUR_MS) return `${Math.floor(age / MINUTE_MS)}${JOINED}min`;
  if (age < DAY_MS) {
    return unitPair(Math.floor(age / HOUR_MS), 'h', Math.floor((age % HOUR_MS) / MINUTE_MS), 'min');
  }
  return unitPair(Math.floor(age / DAY_MS), 'd', Math.floor((age % DAY_MS) / HOUR_MS), 'h');
}

/** How often a sensor speaks; keeps tenths of a second, which `ageText` would cut away. */
export function intervalText(ms: number): string {
  return ms < 10_000 && ms % 1000 !== 0 ? withUnit(ms / 1000, 1, 's') : ageText(ms);
}

const clocks = new Map<string, Intl.DateTimeFormat>();

function clockFormat(key: string, zone: string | undefined, options: Intl.DateTimeFormatOptions) {
  const isLong = preferences.value.clock === '24 h';
  const name = `${key} ${zone ?? ''} ${isLong}`;
  let format = clocks.get(name);
  if (format === undefined) {
    format = new Intl.DateTimeFormat(texts.locale, {
      hourCycle: isLong ? 'h23' : 'h12',
      ...options,
      ...(options.hour === undefined || isLong ? {} : { hour: 'numeric' }),
      ...(zone === undefined ? {} : { timeZone: zone }),
    });
    clocks.set(name, format);
  }
  return format;
}

const HOUR_AND_MINUTE = { hour: '2-digit', minute: '2-digit' } as const;

const utcOf = (atMs: number): number => atMs + utcOffsetMs.value;

/** A full hour of any day, 0..23. */
export function hourText(hour: number): string {
  return clockFormat('clock', 'UTC', HOUR_AND_MINUTE).format(hour * HOUR_MS);
}

function dayText(atMs: number, zone: string | undefined): string {
  return clockFormat('day', zone, { weekday: 'short', day: 'numeric', month: 'short' }).format(
    utcOf(atMs),
  );
}

/** `14:02`, with the day before it when that is not the day of `nowMs`. */
export function clockText(atMs: number, nowMs: number, zone?: string): string {
  const clock = clockFormat('clock', zone, HOUR_AND_MINUTE).format(utcOf(atMs));
  const day = dayText(atMs, zone);
  return day === dayText(nowMs, zone) ? clock : `${day}, ${clock}`;
}

/** `14:02:07`: for spans in which minutes are too coarse. */
export function secondsText(atMs: number, zone?: string): string {
  return clockFormat('seconds', zone, {
    hour: '2-digit',
    minute: '2-digit',
    second: '2-digit',
  }).format(utcOf(atMs));
}

/** So many milliseconds of span and fewer: minutes are too coarse. */
const SECONDS_MATTER_BELOW_MS = 30 * 60_000;
/** Longer than this, the day alone does not tell the year. */
const YEAR_MATTERS_FROM_MS = 200 * DAY_MS;

/** An instant as finely as its surroundings need: seconds, minutes with the day, or with the year. */
export function instantText(
  atMs: number,
  { fromMs, toMs }: { fromMs: number; toMs: number },
  zone?: string,
): string {
  const spanMs = toMs - fromMs;
  if (spanMs <= SECONDS_MATTER_BELOW_MS) return secondsText(atMs, zone);
  if (spanMs < DAY_MS && dayText(fromMs, zone) === dayText(toMs, zone)) {
    return clockText(atMs, atMs, zone);
  }
  const day = spanMs < YEAR_MATTERS_FROM_MS ? dayText(atMs, zone) : dayOfYearText(atMs, zone);
  return `${day}, ${clockText(atMs, atMs, zone)}`;
}

/** A stretch of time with its day: `Wed, 5 Nov, 14:02 to 15:02`. `joined` puts two texts together. */
export function stretchText(
  { fromMs, toMs }: { fromMs: number; toMs: number },
  joined: (from: string, to: string) => string,
  zone?: string,
): string {
  const isShort = toMs - fromMs <= SECONDS_MATTER_BELOW_MS;
  const clock = (atMs: number) => (isShort ? secondsText(atMs, zone) : clockText(atMs, atMs, zone));
  const [first, last] = [dayOfYearText(fromMs, zone), dayOfYearText(toMs, zone)];
  const from = `${first}, ${clock(fromMs)}`;
  return joined(from, first === last ? clock(toMs) : `${last}, ${clock(toMs)}`);
}

/** `5 Nov 2026`. */
export function dayOfYearText(atMs: number, zone?: string): string {
  const options = { day: 'numeric', month: 'short', year: 'numeric' } as const;
  return clockFormat('day of year', zone, options).format(utcOf(atMs));
}

/** `5 Nov 2026, 14:02`: for paper, which nobody reads on the same day. */
export function stampText(atMs: number, zone?: string): string {
  return `${dayOfYearText(atMs, zone)}, ${clockText(atMs, atMs, zone)}`;
}

/** A whole day, month or year by its name: `Friday 14 August 2026`, `August 2026`, `2026`. */
export function calendarText(unit: 'day' | 'month' | 'year', atMs: number, zone?: string): string {
  const options = {
    day: { weekday: 'long', day: 'numeric', month: 'long', year: 'numeric' },
    month: { month: 'long', year: 'numeric' },
    year: { year: 'numeric' },
  } as const;
  return clockFormat(`whole ${unit}`, zone, options[unit]).format(utcOf(atMs));
}

/** `August`; `month` counts from 1. */
export function monthName(month: number): string {
  return clockFormat('month', 'UTC', { month: 'long' }).format(Date.UTC(2026, month - 1, 15));
}

/** Wh as kWh with two decimals, so that rows compare. */
export function energyText(wattHours: number | null): string {
  return wattHours === null ? DASH : withUnit(wattHours / 1000, 2, 'kWh');
}

/** Watts as kW with two decimals. */
export function powerText(watts: number | null): string {
  return watts === null ? DASH : withUnit(watts / 1000, 2, 'kW');
}

/** Hours with one decimal: `12.5 h`. */
export function hoursText(ms: number): string {
  return withUnit(ms / HOUR_MS, 1, 'h');
}

/** 0..1 as whole per cent, never 100 while anything is missing and never 0 while anything is there. */
export function coverageText(ratio: number): string {
  const percent = Math.floor(ratio * 100);
  if (ratio > 0 && percent === 0) return `<${withUnit(1, 0, '%')}`;
  return withUnit(percent, 0, '%');
}

/** `Wed, 5 Nov`. */
export function dateText(atMs: number, zone?: string): string {
  return dayText(atMs, zone);
}

/** Bytes in the next fitting binary unit: `3.2 MiB`. */
export function bytesText(bytes: number): string {
  const units = ['B', 'KiB', 'MiB', 'GiB', 'TiB'];
  let left = bytes;
  let step = 0;
  while (left >= 1024 && step < units.length - 1) {
    left /= 1024;
    step += 1;
  }
  return withUnit(left, step === 0 ? 0 : 1, units[step] ?? '');
}

/** Names of legs for a person: `L1`, `L1 + L2`. */
export function legsText(legs: readonly LegState['leg'][]): string {
  return legs.join(' + ');
}

/**
 * A number of a finding with its unit as the rule wrote it. Ratios (`of rating`) become per cent,
 * which is what a person compares.
 */
export function evidentText(value: number | null, unit: string): string {
  if (value === null) return DASH;
  if (unit.startsWith('of ')) return `${withUnit(value * 100, 0, '%')} ${unit}`;
  return withUnit(value, decimalsOf(unit), unit);
}
