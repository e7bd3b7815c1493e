import { describe, expect, test } from 'vitest';
import { stepFor, timeTicks } from '../../dashboard/models/ticks.ts';

const HOUR = 3_600_000;
/** As `Date.prototype.getTimezoneOffset` tells it: minutes behind UTC. */
const NEW_YORK_SUMMER = 240;
const KOLKATA = -330;

describe('marks on the time axis', () => {
  test.each([
    [15 * 60_000, 6, 5 * 60_000],
    [15 * 60_000, 15, 60_000],
    [HOUR, 6, 10 * 60_000],
    [24 * HOUR, 6, 6 * HOUR],
    [7 * 24 * HOUR, 4, 2 * 24 * HOUR],
    [30_000, 6, 5_000],
  ])('%d ms with at most %i marks step by %d ms', (spanMs, most, step) => {
    expect(stepFor(spanMs, most)).toBe(step);
  });

  test('days begin at local midnight', () => {
    const fromMs = Date.UTC(2026, 6, 1, 22, 30);
    const ticks = timeTicks(fromMs, fromMs + 72 * HOUR, 3, NEW_YORK_SUMMER, 'America/New_York');
    expect(ticks.map(({ atMs }) => new Date(atMs).toISOString())).toEqual([
      '2026-07-02T04:00:00.000Z',
      '2026-07-03T04:00:00.000Z',
      '2026-07-04T04:00:00.000Z',
    ]);
    expect(ticks[0]?.text).toBe('Thu 2 Jul');
  });

  test('hours are round in a zone that is half an hour off', () => {
    const fromMs = Date.UTC(2026, 6, 1, 0, 10);
    const ticks = timeTicks(fromMs, fromMs + 3 * HOUR, 4, KOLKATA, 'Asia/Kolkata');
    expect(ticks.map(({ text }) => text)).toEqual(['06:00', '07:00', '08:00']);
  });

  test('seconds are written where the step is shorter than a minute', () => {
    const fromMs = Date.UTC(2026, 6, 1, 12, 0, 0);
    const ticks = timeTicks(fromMs, fromMs + 60_000, 4, 0, 'UTC');
    expect(ticks.map(({ text }) => text)).toEqual([
      '12:00:00',
      '12:00:15',
      '12:00:30',
      '12:00:45',
      '12:01:00',
    ]);
  });

  test('over a year the marks name the year', () => {
    const fromMs = Date.UTC(2025, 6, 1);
    const ticks = timeTicks(fromMs, fromMs + 365 * 86_400_000, 6, 0, 'UTC');
    expect(ticks.length).toBeGreaterThan(2);
    for (const { text } of ticks) expect(text).toMatch(/^\d{1,2} \w{3,4} 202[56]$/);
  });
});
