/** The hours and the one line that any way out can carry. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { isBetween, isTimeZone, LocalTime } from '../../../rules/telling/local-time.ts';
import { cut, headline } from '../../../rules/telling/plain-line.ts';

describe('a clock on the wall', () => {
  /**
   * Offsets of the IANA time zone database, from memory: Kathmandu is 5 h 45 min ahead of UTC all
   * year. In the European Union clocks change at 01:00 UTC on the last Sundays of March and October
   * (Directive 2000/84/EC), in the United States at 02:00 local time on the second Sunday of March
   * and the first of November (15 U.S.C. 260a).
   */
  test.each([
    ['Asia/Kathmandu', '2026-06-01T18:15:00Z', '2026-06-02', 0, 'tuesday'],
    ['Europe/Amsterdam', '2026-03-29T00:59:00Z', '2026-03-29', 119, 'sunday'],
    ['Europe/Amsterdam', '2026-03-29T01:00:00Z', '2026-03-29', 180, 'sunday'],
    ['Europe/Amsterdam', '2026-10-25T00:59:00Z', '2026-10-25', 179, 'sunday'],
    ['Europe/Amsterdam', '2026-10-25T01:00:00Z', '2026-10-25', 120, 'sunday'],
    ['America/New_York', '2026-03-08T07:00:00Z', '2026-03-08', 180, 'sunday'],
    ['America/New_York', '2026-11-01T06:00:00Z', '2026-11-01', 60, 'sunday'],
    ['UTC', '1970-01-01T00:00:00Z', '1970-01-01', 0, 'thursday'],
  ])('in %s at %s', (zone, instant, date, minuteOfDay, weekday) => {
    const time = new LocalTime(zone).at(Date.parse(instant));
    expect(time).toEqual({ date, minuteOfDay, weekday });
  });

  test('goes by UTC, however wrong the instants of the daemon are', () => {
    const time = new LocalTime('UTC', 3_600_000);
    expect(time.clock(0, 0)).toBe('01:00');
    expect(time.clock(-3_600_001, 0)).toBe('1969-12-31 23:59');
  });

  test('never throws on an instant', () => {
    for (const atMs of [1e300, -1e300, 8.64e15]) {
      expect(new LocalTime('UTC').clock(atMs, 0)).toMatch(/\d\d:\d\d$/);
    }
  });

  test('knows what lies between two times of day, over midnight as well', () => {
    const night = { from: '22:30', to: '07:00' };
    expect([1349, 1350, 0, 419, 420].map((own) => isBetween(own, night))).toEqual([
      false,
      true,
      true,
      true,
      false,
    ]);
    expect(
      [539, 540, 1019, 1020].map((own) => isBetween(own, { from: '09:00', to: '17:00' })),
    ).toEqual([false, true, true, false]);
  });

  test('is not set to a zone that there is not', () => {
    expect(['Europe/Amsterdam', 'UTC', 'Mars/Olympus', ''].map(isTimeZone)).toEqual([
      true,
      true,
      false,
      false,
    ]);
  });
});

describe('the first line', () => {
  test('is cut between words, and what must not be cut is whole', () => {
    expect(cut('Shore power lost at the bow', 20)).toBe('Shore power lost at…');
    expect(cut('Shore power', 11)).toBe('Shore power');
    expect(cut('Donaudampfschifffahrt', 10)).toBe('Donaudamp…');
  });

  test('is one line of at most 160 characters, whatever the names (seeded random text)', () => {
    const text = fc.string({ maxLength: 400, unit: 'binary' });
    fc.assert(
      fc.property(text, text, (boat, what) => {
        const line = headline(boat, what, 'since 2026-06-01 03:10, nobody has acknowledged it');
        expect(line.length).toBeLessThanOrEqual(160);
        expect(line).toMatch(/, since 2026-06-01 03:10, nobody has acknowledged it$/);
        expect(line).not.toMatch(/[\p{Cc}!]/u);
      }),
    );
  });

  test('never takes a character apart', () => {
    fc.assert(
      fc.property(fc.string({ maxLength: 60, unit: 'grapheme' }), fc.nat(60), (text, most) => {
        expect(cut(text, most + 1)).not.toMatch(/\p{Surrogate}/u);
      }),
    );
  });
});
