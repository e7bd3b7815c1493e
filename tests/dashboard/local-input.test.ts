import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { fromLocalInput, toLocalInput } from '../../dashboard/models/local-input.ts';

/** New York in 2026: clocks go forward on 8 March and back on 1 November, at 02:00 local time. */
const SUMMER_FROM = Date.UTC(2026, 2, 8, 7);
const SUMMER_TO = Date.UTC(2026, 10, 1, 6);
const newYork = (atMs: number) => (atMs >= SUMMER_FROM && atMs < SUMMER_TO ? 240 : 300);

describe('local date and time fields', () => {
  test('hold the wall time of the zone', () => {
    expect(toLocalInput(Date.UTC(2026, 6, 1, 22, 30, 59), 240)).toBe('2026-07-01T18:30');
  });

  test.each([null, '', 'yesterday', '2026-07-01', '2026-13-01T00:00', '2026-07-01T18:30Z'])(
    'hold no instant: %s',
    (text) => {
      expect(fromLocalInput(text, newYork)).toBeNull();
    },
  );

  test('give the same minute back, all year, but for the hour that a clock runs twice', () => {
    const year = { min: Date.UTC(2026, 0, 1) / 60_000, max: Date.UTC(2027, 0, 1) / 60_000 };
    fc.assert(
      fc.property(fc.integer(year), (minute) => {
        const atMs = minute * 60_000;
        fc.pre(Math.abs(atMs - SUMMER_TO) > 3_600_000);
        expect(fromLocalInput(toLocalInput(atMs, newYork(atMs)), newYork)).toBe(atMs);
      }),
    );
  });
});
