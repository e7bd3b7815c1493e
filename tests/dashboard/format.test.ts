import { describe, expect, test } from 'vitest';
import {
  ageText,
  bytesText,
  clockText,
  DASH,
  decimalsOf,
  evidentText,
  fixed,
  intervalText,
  secondsText,
  shownAs,
  withUnit,
} from '../../dashboard/format.ts';

/** The page joins numbers and units with a space that does not break. */
const plain = (text: string) => text.replaceAll('\u00a0', ' ');

describe('numbers', () => {
  test.each([
    [0, 1, '0.0'],
    [-0, 1, '0.0'],
    [-0.04, 1, '0.0'],
    [-0.06, 1, '−0.1'],
    [12.34, 1, '12.3'],
    [12.36, 1, '12.4'],
    [1204551, 0, '1,204,551'],
    [13.4, 2, '13.40'],
  ])('%d with %i decimals reads %s', (value, decimals, text) => {
    expect(fixed(value, decimals)).toBe(text);
  });

  test('a number never parts from its unit', () => {
    expect(withUnit(12.5, 1, 'A')).toBe('12.5\u00a0A');
    expect(withUnit(0.98, 2, '')).toBe('0.98');
  });

  test('volts have two decimals on DC and none on AC', () => {
    expect(decimalsOf('V', 'dc')).toBe(2);
    expect(decimalsOf('V', 'ac')).toBe(0);
    expect(shownAs('volts', 'dc').decimals).toBe(2);
  });

  test('a ratio is shown in per cent, a power factor as it is', () => {
    expect(shownAs('stateOfCharge', 'dc')).toEqual({ unit: '%', scale: 100, decimals: 0 });
    expect(shownAs('powerFactor', 'ac')).toEqual({ unit: '', scale: 1, decimals: 2 });
  });

  test('numbers of a finding: unknown is a dash, a ratio is per cent', () => {
    expect(evidentText(null, 'A')).toBe(DASH);
    expect(plain(evidentText(54.24, 'A'))).toBe('54.2 A');
    expect(plain(evidentText(1.084, 'of rating'))).toBe('108 % of rating');
    expect(plain(evidentText(95, 's'))).toBe('95 s');
  });
});

describe('lengths of time', () => {
  test.each([
    [-5, '0 s'],
    [999, '0 s'],
    [1_000, '1 s'],
    [59_999, '59 s'],
    [60_000, '1 min'],
    [3_599_999, '59 min'],
    [3_600_000, '1 h'],
    [7_500_000, '2 h 5 min'],
    [86_399_999, '23 h 59 min'],
    [86_400_000, '1 d'],
    [273_600_000, '3 d 4 h'],
  ])('%d ms reads %s', (ms, text) => {
    expect(plain(ageText(ms))).toBe(text);
  });

  test('an interval keeps its tenths, which an age cuts away', () => {
    expect(plain(intervalText(500))).toBe('0.5 s');
    expect(plain(intervalText(2_000))).toBe('2 s');
    expect(plain(intervalText(90_000))).toBe('1 min');
  });
});

describe('clocks', () => {
  const evening = Date.UTC(2026, 6, 1, 22, 30, 7);

  test('the same day needs no date; midnight of the zone decides, not that of UTC', () => {
    const zone = 'America/New_York';
    expect(clockText(evening, evening, zone)).toBe('18:30');
    expect(clockText(evening, evening + 5 * 3_600_000, zone)).toBe('18:30');
    expect(plain(clockText(evening, evening + 6 * 3_600_000, zone))).toBe('Wed 1 Jul, 18:30');
    expect(clockText(Date.UTC(2026, 6, 1, 4, 0), evening, zone)).toBe('00:00');
  });

  test('seconds where they matter', () => {
    expect(secondsText(evening, 'Europe/Amsterdam')).toBe('00:30:07');
  });
});

describe('bytes', () => {
  // Binary prefixes: IEC 80000-13, 1 KiB = 1024 B.
  test.each([
    [0, '0 B'],
    [1023, '1,023 B'],
    [1024, '1.0 KiB'],
    [73_400_320, '70.0 MiB'],
    [3 * 2 ** 30, '3.0 GiB'],
  ])('%d bytes read %s', (bytes, text) => {
    expect(plain(bytesText(bytes))).toBe(text);
  });
});
