import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  ampHoursToReplace,
  CHARGE_EFFICIENCY,
  compensatedChargeVolts,
  effectiveAmps,
  hoursLeft,
  peukertExponent,
  peukertHours,
  restStateOfCharge,
  stateOfChargeAfter,
} from '../../../rules/electrical/index.ts';
import { amount } from './amounts.ts';

const BAD = [NaN, Infinity, -1];

describe('state of charge', () => {
  it('stays within 0..1 and moves with the sign of the current', () => {
    const amps = amount(-1000, 1000);
    fc.assert(
      fc.property(amount(0, 1), amps, amount(0, 1e6), amount(0.5, 1), (before, flow, time, eta) => {
        const after = stateOfChargeAfter(before, flow, time, 400, eta) ?? NaN;
        expect(after).toBeGreaterThanOrEqual(0);
        expect(after).toBeLessThanOrEqual(1);
        expect((after - before) * flow).toBeGreaterThanOrEqual(0);
      }),
    );
  });

  it('does not care how a discharge is split', () => {
    fc.assert(
      fc.property(amount(0, 20), amount(0, 36_000), amount(0, 1), (flow, time, share) => {
        const whole = stateOfChargeAfter(1, -flow, time, 400, 0.9) ?? NaN;
        const half = stateOfChargeAfter(1, -flow, time * share, 400, 0.9) ?? NaN;
        const split = stateOfChargeAfter(half, -flow, time * (1 - share), 400, 0.9) ?? NaN;
        expect(split).toBeCloseTo(whole, 9);
      }),
    );
  });

  it('counts only charging with the efficiency', () => {
    expect(stateOfChargeAfter(0.5, 40, 3600, 400, 0.85)).toBeCloseTo(0.585, 12);
    expect(stateOfChargeAfter(0.5, -40, 3600, 400, 0.85)).toBeCloseTo(0.4, 12);
  });

  it('is null for bad numbers', () => {
    for (const bad of BAD) {
      expect(stateOfChargeAfter(bad, 1, 1, 400, 0.9)).toBeNull();
      expect(stateOfChargeAfter(0.5, 1, bad, 400, 0.9)).toBeNull();
      expect(stateOfChargeAfter(0.5, 1, 1, bad, 0.9)).toBeNull();
      expect(stateOfChargeAfter(0.5, 1, 1, 400, bad)).toBeNull();
      expect(ampHoursToReplace(bad, 0.9)).toBeNull();
    }
    expect(stateOfChargeAfter(0.5, NaN, 1, 400, 0.9)).toBeNull();
    expect(stateOfChargeAfter(0.5, 1, 1, 400, 0)).toBeNull();
    expect(ampHoursToReplace(1, 0)).toBeNull();
  });

  it('has an efficiency for every chemistry', () => {
    expect(Object.values(CHARGE_EFFICIENCY).every((value) => value > 0.6 && value <= 1)).toBe(true);
  });
});

describe('hours left', () => {
  it('are none below the floor, and not defined while charging or idle', () => {
    expect(hoursLeft(0.4, 0.5, 400, -25)).toBe(0);
    expect(hoursLeft(0.9, 0.5, 400, 25)).toBeNull();
    expect(hoursLeft(0.9, 0.5, 400, 0)).toBeNull();
    expect(hoursLeft(0.9, 0.5, 400, NaN)).toBeNull();
    expect(hoursLeft(1.1, 0.5, 400, -25)).toBeNull();
    expect(hoursLeft(0.9, NaN, 400, -25)).toBeNull();
    expect(hoursLeft(0.9, 0.5, 0, -25)).toBeNull();
    expect(hoursLeft(0.9, 0.5, 400, -25, { ratedHours: 20, exponent: 0.9 })).toBeNull();
  });
});

describe('rest voltage', () => {
  const flooded = { chemistry: 'flooded', volts: 12 } as const;

  it('says nothing about lithium iron phosphate', () => {
    for (const volts of [10.5, 12, 13.2, 13.6]) {
      expect(restStateOfCharge(volts, { chemistry: 'lifepo4', volts: 12 })).toBeNull();
    }
  });

  it('never falls as the voltage rises', () => {
    fc.assert(
      fc.property(amount(10.5, 13), amount(0, 1), (volts, more) => {
        const low = restStateOfCharge(volts, flooded) ?? NaN;
        const high = restStateOfCharge(Math.min(13, volts + more), flooded) ?? NaN;
        expect(high).toBeGreaterThanOrEqual(low);
        expect(low >= 0 && high <= 1).toBe(true);
      }),
    );
  });

  it('is full or empty beyond the table, and refused where no resting battery is', () => {
    expect(restStateOfCharge(12.9, flooded)).toBe(1);
    expect(restStateOfCharge(11, flooded)).toBe(0);
    expect(restStateOfCharge(13.4, flooded)).toBeNull();
    expect(restStateOfCharge(10.4, flooded)).toBeNull();
    expect(restStateOfCharge(NaN, flooded)).toBeNull();
    expect(restStateOfCharge(12.4, { chemistry: 'agm', volts: 0 })).toBeNull();
    expect(restStateOfCharge(12.4, { chemistry: 'agm', volts: 12.8 })).toBeNull();
    expect(restStateOfCharge(49.8, { chemistry: 'gel', volts: 48 })).toBeCloseTo(0.75, 9);
  });
});

describe('charge voltage', () => {
  it('is compensated per cell, but not for lithium', () => {
    const agm = { chemistry: 'agm', volts: 24 } as const;
    expect(compensatedChargeVolts(28.8, 35, agm, -0.003)).toBeCloseTo(28.44, 9);
    expect(compensatedChargeVolts(28.8, NaN, agm, -0.003)).toBeNull();
    expect(compensatedChargeVolts(0, 20, agm, -0.003)).toBeNull();
    expect(compensatedChargeVolts(14, 20, { chemistry: 'lifepo4', volts: 12 }, -0.003)).toBeNull();
  });
});

describe('Peukert', () => {
  it('gives the rated hours at the rated current, and fewer the higher it is', () => {
    fc.assert(
      fc.property(amount(1, 1.6), amount(0.5, 100), amount(1.01, 5), (exponent, amps, more) => {
        expect(peukertHours(100, 20, exponent, 5)).toBeCloseTo(20, 9);
        const slow = peukertHours(100, 20, exponent, amps) ?? NaN;
        expect(peukertHours(100, 20, exponent, amps * more)).toBeLessThan(slow);
      }),
    );
  });

  it('is null for bad numbers', () => {
    for (const bad of [...BAD, 0]) {
      expect(peukertHours(bad, 20, 1.2, 5)).toBeNull();
      expect(peukertHours(100, bad, 1.2, 5)).toBeNull();
      expect(peukertHours(100, 20, bad, 5)).toBeNull();
      expect(effectiveAmps(100, 20, 1.2, bad)).toBeNull();
      expect(peukertExponent({ amps: bad, hours: 1 }, { amps: 1, hours: 1 })).toBeNull();
    }
    expect(peukertExponent({ amps: 5, hours: 20 }, { amps: 5, hours: 19 })).toBeNull();
  });
});
