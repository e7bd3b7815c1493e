import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  acDropVolts,
  awgCircularMils,
  awgForDrop,
  circularMilsForDrop,
  DROP_RATIO_MAX,
  dropVolts,
  jointWatts,
  loopOhms,
  sourceResistance,
} from '../../../rules/electrical/index.ts';
import { amount } from './amounts.ts';

const cable = {
  awg: '10',
  insulationCelsius: 105,
  isInEngineSpace: false,
  bundled: 1,
  lengthMetres: 12,
};

describe('voltage drop', () => {
  it('doubles with the length', () => {
    fc.assert(
      fc.property(amount(0.1, 100), amount(0, 200), amount(-20, 90), (length, amps, celsius) => {
        const drop = (lengthMetres: number): number =>
          dropVolts(amps, loopOhms({ ...cable, lengthMetres }, celsius) ?? NaN) ?? NaN;
        expect(drop(2 * length)).toBeCloseTo(2 * drop(length), 9);
      }),
    );
  });

  it('counts out and back', () => {
    // 24 m of 10 AWG, 3.277 ohm per km solid at 20 degrees (derived), 2 % for strands.
    expect(loopOhms(cable, 20)).toBeCloseTo(0.024 * 3.277 * 1.02, 5);
    const { awg: _, ...bare } = cable;
    expect(loopOhms({ ...bare, squareMillimetres: 5.2612 }, 20)).toBeCloseTo(0.08023, 4);
  });

  it('is the plain product at power factor 1', () => {
    expect(acDropVolts(10, 0.2, 0.5, 1)).toBe(dropVolts(10, 0.2));
  });

  it('may be 3 % for what is critical, 10 % for the rest', () => {
    // ABYC E-11, read in secondary sources.
    expect(DROP_RATIO_MAX).toEqual({ critical: 0.03, other: 0.1 });
  });

  it('chooses the thinnest wire that keeps the limit', () => {
    fc.assert(
      fc.property(amount(0, 150), amount(1, 60), amount(0.2, 12), (amps, metres, volts) => {
        const needed = circularMilsForDrop(amps, metres, volts) ?? NaN;
        const size = awgForDrop(amps, metres, volts);
        expect(size === null).toBe(needed > 211_600 * (1 + 1e-12));
        const copper = size === null ? Infinity : (awgCircularMils(size) ?? NaN);
        expect(copper).toBeGreaterThanOrEqual(needed);
      }),
    );
  });

  it.each([NaN, Infinity, -1])('is null for %s', (bad) => {
    expect(dropVolts(bad, 1)).toBeNull();
    expect(dropVolts(1, bad)).toBeNull();
    expect(acDropVolts(1, 1, bad, 1)).toBeNull();
    expect(acDropVolts(1, 1, 1, bad)).toBeNull();
    expect(circularMilsForDrop(bad, 1, 1)).toBeNull();
    expect(awgForDrop(1, bad, 1)).toBeNull();
    expect(awgForDrop(1, 1, bad)).toBeNull();
    expect(loopOhms({ ...cable, lengthMetres: bad }, 20)).toBeNull();
  });

  it('is not known without a length or a size', () => {
    const { lengthMetres: _, ...endless } = cable;
    expect(loopOhms(endless, 20)).toBeNull();
    const { awg: _awg, ...bare } = cable;
    expect(loopOhms(bare, 20)).toBeNull();
  });
});

describe('source resistance', () => {
  it('is found again whatever the two loads', () => {
    const loads = fc.tuple(amount(0, 50), amount(0, 50)).filter(([a, b]) => Math.abs(a - b) >= 1);
    fc.assert(
      fc.property(amount(0, 1), loads, (ohms, [one, other]) => {
        const at = (amps: number) => ({ volts: 120 - ohms * amps, amps });
        const found = sourceResistance(at(one), at(other));
        fc.pre(found !== null || ohms > 1e-6);
        expect(found?.ohms).toBeCloseTo(ohms, 6);
        expect(found?.openCircuitVolts).toBeCloseTo(120, 6);
      }),
    );
  });

  it('is not known from like loads, a rising voltage or bad numbers', () => {
    expect(sourceResistance({ volts: 120, amps: 5 }, { volts: 119, amps: 5.9 })).toBeNull();
    expect(sourceResistance({ volts: 120, amps: 5 }, { volts: 121, amps: 15 })).toBeNull();
    expect(sourceResistance({ volts: NaN, amps: 5 }, { volts: 121, amps: 15 })).toBeNull();
    expect(sourceResistance({ volts: 120, amps: 5 }, { volts: 119, amps: 15 }, 0)).toBeNull();
    expect(jointWatts(NaN, 1)).toBeNull();
    expect(jointWatts(1, -1)).toBeNull();
  });
});
