/** What a person may type where an instant is asked for. */
import { describe, expect, it } from 'vitest';
import { localText, readInstant, utcText } from '../../daemon/instants.ts';

const NOW = Date.UTC(2026, 7, 10, 12);

describe('an instant', () => {
  it.each([
    ['now', NOW],
    ['90min', NOW - 90 * 60_000],
    ['6h', NOW - 6 * 3_600_000],
    ['1.5d', NOW - 36 * 3_600_000],
    ['2w', NOW - 14 * 86_400_000],
    ['2026-08-01', new Date(2026, 7, 1).getTime()],
    ['2026-08-01T14:30', new Date(2026, 7, 1, 14, 30).getTime()],
    ['2026-08-01T14:30:15Z', Date.UTC(2026, 7, 1, 14, 30, 15)],
    ['2026-08-01T14:30:15.250+02:00', Date.UTC(2026, 7, 1, 12, 30, 15, 250)],
    ['2028-02-29T00:00Z', Date.UTC(2028, 1, 29)],
  ])('%s', (text, atMs) => {
    expect(readInstant(text, NOW)).toBe(atMs);
  });

  it.each([
    '',
    'yesterday',
    '2026-8-1',
    '2026-13-01',
    '2026-02-30',
    '01.08.2026',
    '6',
    '6 h',
    '-6h',
    '2026-08-01T25:00',
    '2026-08-01 14:30',
    '1e9d',
    'Infinityd',
  ])('is not "%s"', (text) => {
    expect(readInstant(text, NOW)).toBeNull();
  });

  it('is printed in UTC for programs and in local time for people', () => {
    const atMs = new Date(2026, 7, 1, 4, 5, 6).getTime();
    expect(localText(atMs)).toBe('2026-08-01 04:05:06');
    expect(readInstant(utcText(atMs), NOW)).toBe(atMs);
  });
});
