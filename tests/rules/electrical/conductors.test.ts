import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Conductor } from '../../../rules/boat/boat.ts';
import {
  ampacityAmps,
  awgNumber,
  awgSquareMillimetres,
  bundlingFactor,
  copperOhmsPerMetre,
  INSULATION_CELSIUS,
  TABULATED_AWG,
  tabulatedAwgOf,
} from '../../../rules/electrical/index.ts';

const conductor = (given: Partial<Conductor>): Conductor => ({
  insulationCelsius: 105,
  isInEngineSpace: false,
  bundled: 1,
  ...given,
});

describe('ampacity', () => {
  it('never falls with a thicker wire or a better insulation, however it is laid', () => {
    const laid = fc.record({
      isInEngineSpace: fc.boolean(),
      bundled: fc.integer({ min: 1, max: 40 }),
      size: fc.integer({ min: 0, max: TABULATED_AWG.length - 2 }),
      column: fc.integer({ min: 0, max: INSULATION_CELSIUS.length - 2 }),
      volts: fc.constantFrom(12, 24, 48, 50, 120, 230),
    });
    fc.assert(
      fc.property(laid, ({ size, column, volts, isInEngineSpace, bundled }) => {
        const amps = (sizeAt: number, columnAt: number): number =>
          ampacityAmps(
            conductor({
              awg: TABULATED_AWG[sizeAt] ?? '',
              insulationCelsius: INSULATION_CELSIUS[columnAt] ?? NaN,
              isInEngineSpace,
              bundled,
            }),
            volts,
          ) ?? NaN;
        expect(amps(size + 1, column)).toBeGreaterThan(amps(size, column));
        expect(amps(size, column + 1)).toBeGreaterThanOrEqual(amps(size, column));
      }),
    );
  });

  it('takes the lower column for an insulation between two', () => {
    const amps = (insulationCelsius: number) =>
      ampacityAmps(conductor({ awg: '10', insulationCelsius }), 120);
    expect(amps(70)).toBe(amps(60));
    expect(amps(104.9)).toBe(amps(90));
    expect(amps(250)).toBe(amps(200));
    expect(amps(59.9)).toBeNull();
  });

  it('counts bundling from 50 V only, in steps', () => {
    expect([1, 2, 3, 4, 6, 7, 24, 25].map((bundled) => bundlingFactor(bundled, 50))).toEqual([
      1, 1, 0.7, 0.6, 0.6, 0.5, 0.5, 0.4,
    ]);
    expect(bundlingFactor(25, 49.9)).toBe(1);
  });

  it('takes the largest gauge that is not thicker for a metric size', () => {
    const gauge = (squareMillimetres: number) => tabulatedAwgOf(conductor({ squareMillimetres }));
    const expected = '18 16 14 12 10 8 6 4 2 1 2/0 3/0 4/0'.split(' ');
    expect([1, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95, 120].map(gauge)).toEqual(expected);
    expect(gauge(0.75)).toBeNull();
    expect(gauge(126.8)).toBeNull();
  });

  it('says nothing about a size that is not in the table', () => {
    for (const awg of ['20', '7', '5/0', '0', '', 'ten']) {
      expect(ampacityAmps(conductor({ awg }), 120)).toBeNull();
    }
    expect(ampacityAmps(conductor({}), 120)).toBeNull();
  });

  it.each([NaN, Infinity, 0, -1])('says nothing about %s', (bad) => {
    expect(ampacityAmps(conductor({ awg: '10' }), bad)).toBeNull();
    expect(ampacityAmps(conductor({ awg: '10', bundled: bad }), 120)).toBeNull();
    expect(ampacityAmps(conductor({ squareMillimetres: bad }), 120)).toBeNull();
  });

  it('says nothing about an insulation that is no number', () => {
    expect(ampacityAmps(conductor({ awg: '10', insulationCelsius: NaN }), 120)).toBeNull();
    expect(ampacityAmps(conductor({ awg: '10', insulationCelsius: Infinity }), 120)).toBeNull();
  });
});

describe('wire geometry', () => {
  it('knows gauges from 40 to 4/0 and nothing else', () => {
    expect(['40', '1', '1/0', '4/0'].map(awgNumber)).toEqual([40, 1, 0, -3]);
    expect(['41', '0', '5/0', '-1', '010', '1.5', ''].map(awgNumber)).toEqual(Array(7).fill(null));
  });

  it('halves the resistance with twice the copper, and adds 2 % for strands', () => {
    const thin = copperOhmsPerMetre(2, 20) ?? NaN;
    expect(copperOhmsPerMetre(4, 20)).toBeCloseTo(thin / 2, 12);
    expect(copperOhmsPerMetre(2, 20, 'solid')).toBeCloseTo(thin / 1.02, 12);
  });

  it('refuses an impossible wire or temperature', () => {
    expect(copperOhmsPerMetre(0, 20)).toBeNull();
    expect(copperOhmsPerMetre(NaN, 20)).toBeNull();
    expect(copperOhmsPerMetre(2, NaN)).toBeNull();
    expect(copperOhmsPerMetre(2, -51)).toBeNull();
    expect(copperOhmsPerMetre(2, 251)).toBeNull();
    expect(awgSquareMillimetres('nothing')).toBeNull();
  });
});
