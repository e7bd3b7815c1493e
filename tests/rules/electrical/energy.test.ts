import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  energyBetween,
  integralBetween,
  secondsPerPulse,
  wattHoursPerPulse,
  type TimedSample,
} from '../../../rules/electrical/index.ts';
import { amount } from './amounts.ts';

const HOUR = 3_600_000;

const series: fc.Arbitrary<TimedSample[]> = fc
  .array(
    fc.record({
      step: fc.integer({ min: 0, max: 120_000 }),
      value: fc.option(amount(-5000, 5000), { freq: 10 }),
    }),
    { maxLength: 60 },
  )
  .map((steps) => {
    let atMs = 0;
    return steps.map(({ step, value }) => {
      atMs += step;
      return { atMs, value };
    });
  });

describe('energy between two instants', () => {
  it('is the same however the time is split', () => {
    const end = 4_000_000;
    fc.assert(
      fc.property(series, fc.integer({ min: 1, max: end - 1 }), (samples, cut) => {
        const whole = integralBetween(samples, 0, end, 60_000);
        const first = integralBetween(samples, 0, cut, 60_000);
        const second = integralBetween(samples, cut, end, 60_000);
        const sum = (first?.valueHours ?? 0) + (second?.valueHours ?? 0);
        expect(sum).toBeCloseTo(whole?.valueHours ?? 0, 6);
        expect((first?.bridgedMs ?? 0) + (second?.bridgedMs ?? 0)).toBe(whole?.bridgedMs);
      }),
    );
  });

  it('has a coverage of 0..1, and no value exactly when nothing is covered', () => {
    fc.assert(
      fc.property(series, (samples) => {
        const integral = integralBetween(samples, 0, 3_000_000, 60_000);
        expect(integral?.coverage).toBeGreaterThanOrEqual(0);
        expect(integral?.coverage).toBeLessThanOrEqual(1);
        expect(integral?.valueHours === null).toBe(integral?.coverage === 0);
      }),
    );
  });

  it('does not bridge a gap longer than allowed, and says how much it covers', () => {
    const samples = [0, 10, 20, 50, 60].map((minutes) => ({ atMs: minutes * 60_000, value: 600 }));
    const energy = energyBetween(samples, 0, HOUR, 10 * 60_000);
    expect(energy?.wattHours).toBeCloseTo(300, 9);
    expect(energy?.coverage).toBeCloseTo(0.5, 9);
    expect(energyBetween(samples, 0, HOUR, 30 * 60_000)?.wattHours).toBeCloseTo(600, 9);
    expect(energyBetween(samples, 0, HOUR, 30 * 60_000 - 1)?.coverage).toBeCloseTo(0.5, 9);
  });

  it('does not bridge over a sensor that says it has no value', () => {
    const samples = [
      { atMs: 0, value: 100 },
      { atMs: 1000, value: null },
      { atMs: 2000, value: 100 },
      { atMs: 3000, value: NaN },
      { atMs: 4000, value: 100 },
    ];
    expect(integralBetween(samples, 0, 4000, 10_000)).toEqual({
      valueHours: null,
      bridgedMs: 0,
      coverage: 0,
    });
  });

  it('cuts a ramp at the asked time', () => {
    const ramp = [
      { atMs: 0, value: 0 },
      { atMs: HOUR, value: 1000 },
    ];
    expect(energyBetween(ramp, 0, HOUR / 2, HOUR)?.wattHours).toBeCloseTo(125, 9);
    expect(energyBetween(ramp, HOUR / 2, 2 * HOUR, HOUR)).toEqual({
      wattHours: 375,
      coverage: 1 / 3,
    });
  });

  it('keeps the sign of what flows back', () => {
    const samples = [0, HOUR].map((atMs) => ({ atMs, value: -200 }));
    expect(energyBetween(samples, 0, HOUR, HOUR)?.wattHours).toBe(-200);
  });

  it('throws when samples go backwards, for that is a programming error', () => {
    const samples = [
      { atMs: 1000, value: 1 },
      { atMs: 999, value: 1 },
    ];
    expect(() => integralBetween(samples, 0, 2000, 1000)).toThrow(RangeError);
  });

  it('is null for no time at all or bad numbers', () => {
    expect(integralBetween([], 5, 5, 1)).toBeNull();
    expect(integralBetween([], 5, 4, 1)).toBeNull();
    expect(integralBetween([], NaN, 4, 1)).toBeNull();
    expect(energyBetween([], 0, 4, 0)).toBeNull();
    expect(energyBetween([], 0, 4, NaN)).toBeNull();
    for (const bad of [0, -1, NaN, Infinity]) {
      expect(wattHoursPerPulse(bad)).toBeNull();
      expect(secondsPerPulse(1600, bad)).toBeNull();
    }
  });
});
