import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  ampsOf,
  ampsThrough,
  neutralAmps,
  neutralAmpsRange,
  neutralOhmsEstimate,
  phasor,
  polar,
  powerFactorOf,
  powerFrom,
  powerOf,
  powerOfSamples,
  rootMeanSquare,
  seriesOhms,
  splitPhaseVoltages,
  sumOfPowers,
  voltAmpsOf,
  type SplitPhaseCircuit,
} from '../../../rules/electrical/index.ts';
import { amount } from './amounts.ts';

describe('power', () => {
  it('counts vars by their direction and keeps the watts', () => {
    const lagging = powerFrom(120, 10, 0.8);
    expect(lagging?.watts).toBeCloseTo(960, 9);
    expect(lagging?.vars).toBeCloseTo(720, 9);
    expect(powerFrom(120, 10, 0.8, 'leading')?.vars).toBeCloseTo(-720, 9);
    expect(powerOf(phasor(120), polar(10, -Math.acos(0.8)))?.vars).toBeCloseTo(720, 9);
  });

  it('has no factor without power, and one of 0..1 whichever way it flows', () => {
    expect(powerFactorOf({ watts: 0, vars: 0 })).toBeNull();
    expect(powerFactorOf({ watts: -600, vars: 800 })).toBeCloseTo(0.6, 12);
    expect(sumOfPowers([])).toEqual({ watts: 0, vars: 0 });
  });

  it('never sums to more volt-amperes than its parts', () => {
    const power = fc.record({ watts: amount(-1e4, 1e4), vars: amount(-1e4, 1e4) });
    fc.assert(
      fc.property(power, power, (one, other) => {
        const apart = (voltAmpsOf(one) ?? NaN) + (voltAmpsOf(other) ?? NaN);
        const sum = sumOfPowers([one, other]);
        expect(sum && voltAmpsOf(sum)).toBeLessThanOrEqual(apart * (1 + 1e-12));
      }),
    );
  });

  it('is null for bad numbers', () => {
    for (const bad of [NaN, Infinity, -1]) {
      expect(powerFrom(bad, 1, 1)).toBeNull();
      expect(powerFrom(1, bad, 1)).toBeNull();
      expect(powerFrom(1, 1, bad)).toBeNull();
      expect(ampsOf({ watts: 1, vars: 0 }, bad)).toBeNull();
      expect(seriesOhms(bad, 0, 60)).toBeNull();
      expect(seriesOhms(1, bad, 60)).toBeNull();
      expect(seriesOhms(1, 0, bad)).toBeNull();
    }
    expect(powerFrom(1, 1, 1.01)).toBeNull();
    expect(powerOf(phasor(NaN), phasor(1))).toBeNull();
    expect(sumOfPowers([{ watts: NaN, vars: 0 }])).toBeNull();
    expect(voltAmpsOf({ watts: 0, vars: Infinity })).toBeNull();
    expect(ampsThrough(phasor(120), phasor(0))).toBeNull();
  });

  it('is null from samples that do not belong together', () => {
    expect(rootMeanSquare([])).toBeNull();
    expect(rootMeanSquare([1, NaN])).toBeNull();
    expect(powerOfSamples([1, 2], [1])).toBeNull();
    expect(powerOfSamples([], [])).toBeNull();
    expect(powerOfSamples([1, -1], [0, 0])?.powerFactor).toBeNull();
  });
});

describe('neutral current', () => {
  it('is at most the sum of the legs, and within its range for lagging loads', () => {
    const amps = amount(0, 100);
    const factor = amount(0.3, 1);
    fc.assert(
      fc.property(amps, amps, factor, factor, (one, other, factor1, factor2) => {
        const neutral =
          neutralAmps(polar(one, -Math.acos(factor1)), polar(other, -Math.acos(factor2))) ?? NaN;
        expect(neutral).toBeLessThanOrEqual(one + other + 1e-9);
        const range = neutralAmpsRange(one, other, 0.3);
        expect(neutral).toBeGreaterThanOrEqual((range?.min ?? NaN) - 1e-9);
        expect(neutral).toBeLessThanOrEqual((range?.max ?? NaN) + 1e-9);
      }),
    );
  });

  it('has a range of one value when all loads are resistive', () => {
    expect(neutralAmpsRange(20, 15, 1)).toEqual({ min: 5, max: 5 });
  });

  it('is greatest with one leg resistive and the other at the lowest power factor', () => {
    const worst = neutralAmps(phasor(20), polar(15, -Math.acos(0.8))) ?? NaN;
    expect(neutralAmpsRange(20, 15, 0.8)?.max).toBeCloseTo(worst, 9);
  });

  it('is null for bad numbers', () => {
    expect(neutralAmps(phasor(NaN), phasor(1))).toBeNull();
    expect(neutralAmpsRange(-1, 1, 1)).toBeNull();
    expect(neutralAmpsRange(1, NaN, 1)).toBeNull();
    expect(neutralAmpsRange(1, 1, 1.1)).toBeNull();
  });
});

describe('split-phase voltages', () => {
  const circuit = (given: Partial<SplitPhaseCircuit>): SplitPhaseCircuit => ({
    sourceVolts: [phasor(120), phasor(120)],
    sourceOhms: [phasor(0), phasor(0)],
    neutralOhms: 'open',
    loadOhms: [phasor(10), phasor(10)],
    acrossOhms: null,
    ...given,
  });

  it('add up to line-to-line under an open neutral with loads of equal angle', () => {
    const ohms = amount(0.5, 1000);
    fc.assert(
      fc.property(ohms, ohms, amount(-1.5, 1.5), amount(0, 1), (one, other, angle, source) => {
        const solved = splitPhaseVoltages(
          circuit({
            loadOhms: [polar(one, angle), polar(other, angle)],
            sourceOhms: [phasor(source), phasor(source)],
          }),
        );
        const [leg1, leg2] = solved?.legVolts ?? [NaN, NaN];
        expect(leg1 + leg2).toBeCloseTo(solved?.lineVolts ?? NaN, 6);
        // The lighter loaded leg, the one with more ohms, gets more of it.
        expect(leg1 / (leg1 + leg2)).toBeCloseTo(one / (one + other), 9);
        expect(solved?.neutralAmps).toBeCloseTo(0, 6);
      }),
    );
  });

  it('stay at the source with a perfect cable, whatever is connected', () => {
    const solved = splitPhaseVoltages(
      circuit({ neutralOhms: phasor(0), loadOhms: [phasor(10), null], acrossOhms: phasor(24) }),
    );
    expect(solved?.legVolts).toEqual([120, 120]);
    expect(solved?.legAmps).toEqual([22, 10]);
    expect(solved?.neutralAmps).toBe(12);
  });

  it('are the same for a very bad and for an open neutral', () => {
    const loadOhms = [phasor(9.6), phasor(8.5, 5.268)] as const;
    const open = splitPhaseVoltages(circuit({ loadOhms }));
    const bad = splitPhaseVoltages(circuit({ loadOhms, neutralOhms: phasor(1e9) }));
    expect(bad?.legVolts[0]).toBeCloseTo(open?.legVolts[0] ?? NaN, 4);
    expect(bad?.legVolts[1]).toBeCloseTo(open?.legVolts[1] ?? NaN, 4);
  });

  it('put all the voltage on an idle leg when the neutral is open', () => {
    const solved = splitPhaseVoltages(circuit({ loadOhms: [phasor(10), null] }));
    expect(solved?.legVolts[0]).toBeCloseTo(0, 9);
    expect(solved?.legVolts[1]).toBeCloseTo(240, 9);
  });

  it('are not defined for a floating bar, a short circuit or a bad number', () => {
    expect(splitPhaseVoltages(circuit({ loadOhms: [null, null] }))).toBeNull();
    expect(splitPhaseVoltages(circuit({ loadOhms: [phasor(0), null] }))).toBeNull();
    expect(splitPhaseVoltages(circuit({ neutralOhms: phasor(NaN) }))).toBeNull();
    expect(splitPhaseVoltages(circuit({ sourceVolts: [phasor(NaN), phasor(1)] }))).toBeNull();
  });

  it('give back the resistance of a loose neutral, if the legs differ enough', () => {
    expect(neutralOhmsEstimate([109.091, 130.909], [27.273, 5.4545])).toBeCloseTo(0.5, 4);
    expect(neutralOhmsEstimate([130.909, 109.091], [27.273, 5.4545])).toBeLessThan(0);
    expect(neutralOhmsEstimate([119, 121], [10, 9])).toBeNull();
    expect(neutralOhmsEstimate([NaN, 121], [10, 1])).toBeNull();
    expect(neutralOhmsEstimate([119, 121], [10, 1], 0)).toBeNull();
  });
});
