import fc from 'fast-check';
import { afterEach, describe, expect, test } from 'vitest';
import { clockText, hourText, inOwnDegrees, withUnit } from '../../dashboard/format.ts';
import {
  DEFAULTS,
  paletteAt,
  PALETTES,
  preferencesFrom,
} from '../../dashboard/models/preferences.ts';
import { preferences } from '../../dashboard/preferences.ts';

const plain = (text: string) => text.replaceAll(/[\u00a0\u202f]/g, ' ');

describe('what was kept', () => {
  test('is read back', () => {
    const kept = { palette: 'night', clock: '12 h', degrees: '°F' } as const;
    expect(preferencesFrom(JSON.stringify(kept))).toEqual(kept);
  });

  test.each([null, '', '{', 'null', '3', '[]', '{"palette":"pink","clock":12,"degrees":null}'])(
    'and %s is the defaults',
    (text) => {
      expect(preferencesFrom(text)).toEqual(DEFAULTS);
    },
  );

  test('never throws, whatever stands there', () => {
    fc.assert(
      fc.property(fc.oneof(fc.string(), fc.json()), (text) => {
        expect(Object.keys(preferencesFrom(text))).toEqual(Object.keys(DEFAULTS));
      }),
    );
  });
});

describe('the palette', () => {
  test.each([
    [5, 'night'],
    [6, 'dusk'],
    [7, 'dusk'],
    [8, 'day'],
    [17, 'day'],
    [18, 'dusk'],
    [21, 'dusk'],
    [22, 'night'],
    [0, 'night'],
  ])('by the clock at %i h is %s', (hour, palette) => {
    expect(paletteAt('clock', hour, false)).toBe(palette);
  });

  test('as the device is set is never the dimmest, which somebody has to ask for', () => {
    expect(paletteAt('device', 23, true)).toBe('dusk');
    expect(paletteAt('device', 23, false)).toBe('day');
  });

  test.each(PALETTES)('%s stays when it was chosen', (palette) => {
    expect(paletteAt(palette, 12, true)).toBe(palette);
    expect(paletteAt(palette, 0, false)).toBe(palette);
  });
});

describe('a screen that counts otherwise', () => {
  afterEach(() => {
    preferences.value = DEFAULTS;
  });

  test('degrees Fahrenheit, in figures and in the sentences of the boat', () => {
    preferences.value = { ...DEFAULTS, degrees: '°F' };
    // ITS-90 fixed points in everyday rounding: water freezes at 32 °F and boils at 212 °F.
    expect(plain(withUnit(0, 0, '°C'))).toBe('32 °F');
    expect(plain(withUnit(100, 0, '°C'))).toBe('212 °F');
    expect(plain(withUnit(-40, 1, '°C'))).toBe('−40.0 °F');
    expect(plain(withUnit(12.5, 1, 'A'))).toBe('12.5 A');
    expect(plain(inOwnDegrees('The limit is that of a bank at 25 °C, not -10.5 °C.'))).toBe(
      'The limit is that of a bank at 77 °F, not 13.1 °F.',
    );
  });

  test('degrees Celsius leave every sentence as it is', () => {
    fc.assert(fc.property(fc.string(), (text) => inOwnDegrees(text) === text));
  });

  test('twelve hours', () => {
    const evening = Date.UTC(2026, 7, 3, 18, 29);
    const night = Date.UTC(2026, 7, 3, 0, 5);
    expect(plain(clockText(evening, evening, 'UTC'))).toBe('18:29');
    preferences.value = { ...DEFAULTS, clock: '12 h' };
    expect(plain(clockText(evening, evening, 'UTC'))).toBe('6:29 pm');
    expect(plain(clockText(night, night, 'UTC'))).toBe('12:05 am');
    expect(plain(hourText(22))).toBe('10:00 pm');
  });
});
