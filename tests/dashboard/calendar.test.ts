/**
 * Calendar stretches against the platform's own time zones (IANA tz database, through Intl): the
 * first and last instant of a local day must read so on a clock of that zone.
 */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  dateInput,
  dayOf,
  daysOf,
  fromDateInput,
  fromYearInput,
  neighbour,
  unitOf,
  wholeOf,
} from '../../dashboard/models/calendar.ts';
import { lengthOf } from '../../dashboard/models/stretch.ts';

const HOUR_MS = 3_600_000;

/** Minutes behind UTC, read off a clock of that zone. */
function offsetIn(zone: string): (atMs: number) => number {
  const clock = new Intl.DateTimeFormat('sv-SE', {
    timeZone: zone,
    dateStyle: 'short',
    timeStyle: 'medium',
  });
  return (atMs) => {
    const whole = Math.floor(atMs / 1000) * 1000;
    return (whole - Date.parse(`${clock.format(whole).replace(' ', 'T')}Z`)) / 60_000;
  };
}

const newYork = offsetIn('America/New_York');

describe('a local day', () => {
  test('of New York in summer begins at four o’clock UTC', () => {
    expect(wholeOf('day', { year: 2026, month: 8, day: 14 }, newYork)).toEqual({
      fromMs: Date.UTC(2026, 7, 14, 4),
      toMs: Date.UTC(2026, 7, 15, 4),
    });
  });

  // 8 March and 1 November 2026: when clocks change in the United States (15 U.S.C. 260a).
  test.each([
    [{ year: 2026, month: 3, day: 8 }, 23],
    [{ year: 2026, month: 11, day: 1 }, 25],
    [{ year: 2026, month: 11, day: 2 }, 24],
  ])('%o is %i hours long', (day, hours) => {
    const whole = wholeOf('day', day, newYork);
    expect(lengthOf(whole)).toBe(hours * HOUR_MS);
    expect(daysOf(whole)).toBe(1);
    expect(unitOf(whole, newYork)).toBe('day');
  });

  test('begins and ends where its date changes, in any zone, clock changes at midnight included', () => {
    const zones = ['America/New_York', 'Europe/Berlin', 'Asia/Beirut', 'America/Santiago', 'UTC'];
    const offsets = zones.map(offsetIn);
    fc.assert(
      fc.property(
        fc.constantFrom(...offsets),
        fc.integer({ min: Date.UTC(2020, 0, 1), max: Date.UTC(2030, 0, 1) }),
        (offsetAt, atMs) => {
          const day = dayOf(atMs, offsetAt);
          const whole = wholeOf('day', day, offsetAt);
          expect(dayOf(whole.fromMs, offsetAt)).toEqual(day);
          expect(dayOf(whole.toMs - 1000, offsetAt)).toEqual(day);
          expect(dayOf(whole.toMs, offsetAt)).not.toEqual(day);
          expect(unitOf(whole, offsetAt)).toBe('day');
          expect(fromDateInput(dateInput(day))).toEqual(day);
        },
      ),
      { numRuns: 300 },
    );
  });
});

describe('months and years', () => {
  const august = wholeOf('month', { year: 2026, month: 8, day: 14 }, newYork);

  test('are whole', () => {
    expect(august).toEqual({ fromMs: Date.UTC(2026, 7, 1, 4), toMs: Date.UTC(2026, 8, 1, 4) });
    expect(unitOf(august, newYork)).toBe('month');
    const year = wholeOf('year', { year: 2026, month: 8, day: 14 }, newYork);
    expect(year).toEqual({ fromMs: Date.UTC(2026, 0, 1, 5), toMs: Date.UTC(2027, 0, 1, 5) });
    expect(unitOf(year, newYork)).toBe('year');
  });

  test('have neighbours of their own kind, over the end of a year too', () => {
    const september = neighbour(august, 1, newYork);
    expect([dayOf(september.fromMs, newYork).month, unitOf(september, newYork)]).toEqual([
      9,
      'month',
    ]);
    expect(neighbour(september, -1, newYork)).toEqual(august);
    const december = wholeOf('month', { year: 2026, month: 12, day: 1 }, newYork);
    expect(dayOf(neighbour(december, 1, newYork).fromMs, newYork)).toEqual({
      year: 2027,
      month: 1,
      day: 1,
    });
  });

  test('are not what is a minute off; its neighbour is as long as it is', () => {
    const odd = { fromMs: august.fromMs + 60_000, toMs: august.toMs };
    expect(unitOf(odd, newYork)).toBeNull();
    expect(neighbour(odd, 1, newYork)).toEqual({
      fromMs: odd.toMs,
      toMs: odd.toMs + lengthOf(odd),
    });
  });
});

describe('what a person types', () => {
  test.each(['2026-02-30', '2026-13-01', 'yesterday', '', null])('%s is no day', (text) => {
    expect(fromDateInput(text)).toBeNull();
  });

  test.each([
    ['2026', 2026],
    [' 2026 ', 2026],
    ['26', null],
    ['1969', null],
    ['', null],
    [null, null],
  ])('the year %s', (text, year) => {
    expect(fromYearInput(text)).toBe(year);
  });
});
