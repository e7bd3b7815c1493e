import { describe, expect, it } from 'vitest';
import {
  legDifferenceRatio,
  marinaDemandFactor,
  shoreCapacity,
  unbalanceRatio,
  voltageBandOf,
  voltageEventOf,
  voltageStandardOf,
} from '../../../rules/electrical/index.ts';

describe('voltage bands', () => {
  it.each([
    [103.9, 'too low'],
    [104, 'tolerable'],
    [107.9, 'tolerable'],
    [108, 'good'],
    [126, 'good'],
    [127, 'tolerable'],
    [127.1, 'too high'],
  ])('at a North American load: %s V is %s', (volts, band) => {
    expect(voltageBandOf(volts, 120, 'C84.1 utilization')).toBe(band);
    // The same shares hold across two legs.
    expect(voltageBandOf(2 * volts, 240, 'C84.1 utilization')).toBe(band);
  });

  it.each([
    [195.4, 'too low'],
    [195.5, 'tolerable'],
    [207, 'good'],
    [253, 'good'],
    [253.1, 'too high'],
  ])('in Europe: %s V is %s', (volts, band) => {
    expect(voltageBandOf(volts, 230, 'EN 50160')).toBe(band);
  });

  it('follow the boat’s system', () => {
    const single = { kind: 'single phase', hertz: 50, legs: ['L'] } as const;
    expect(voltageStandardOf({ ...single, legs: ['L'], volts: 230 })).toBe('EN 50160');
    expect(voltageStandardOf({ ...single, legs: ['L'], volts: 120 })).toBe('C84.1 utilization');
  });

  it('are null for bad numbers', () => {
    expect(voltageBandOf(NaN, 120, 'EN 50160')).toBeNull();
    expect(voltageBandOf(-1, 120, 'EN 50160')).toBeNull();
    expect(voltageBandOf(120, 0, 'EN 50160')).toBeNull();
  });
});

describe('voltage events', () => {
  it.each([
    [0.9, 0.5, 'instantaneous sag'],
    [0.9, 0.51, 'momentary sag'],
    [0.1, 3, 'momentary sag'],
    [0.1, 3.01, 'temporary sag'],
    [0.5, 60, 'temporary sag'],
    [0.5, 60.1, 'undervoltage'],
    [0.099, 0.01, 'momentary interruption'],
    [0, 3, 'momentary interruption'],
    [0, 3.01, 'temporary interruption'],
    [0, 60, 'temporary interruption'],
    [0, 61, 'sustained interruption'],
    [1.1, 0.1, 'instantaneous swell'],
    [1.3, 2, 'momentary swell'],
    [1.1, 61, 'overvoltage'],
    [0.901, 100, 'none'],
    [1.099, 100, 'none'],
  ])('%s of nominal for %s s is %s', (perUnit, seconds, expected) => {
    expect(voltageEventOf(perUnit, seconds, 60)).toBe(expected);
  });

  it('count cycles of the system at hand', () => {
    expect(voltageEventOf(0.5, 0.55, 60)).toBe('momentary sag');
    expect(voltageEventOf(0.5, 0.55, 50)).toBe('instantaneous sag');
  });

  it('are null when shorter than half a cycle or from bad numbers', () => {
    expect(voltageEventOf(0.5, 0.008, 60)).toBeNull();
    expect(voltageEventOf(0.5, 0.01, 50)).toBe('instantaneous sag');
    expect(voltageEventOf(NaN, 1, 60)).toBeNull();
    expect(voltageEventOf(0.5, -1, 60)).toBeNull();
    expect(voltageEventOf(0.5, NaN, 60)).toBeNull();
    expect(voltageEventOf(0.5, 1, NaN)).toBeNull();
    expect(voltageEventOf(0.5, 1, 0)).toBeNull();
  });
});

describe('legs and phases', () => {
  it('have an unbalance for three phases only', () => {
    expect(unbalanceRatio([230, 230, 230])).toBe(0);
    expect(unbalanceRatio([120, 121])).toBeNull();
    expect(unbalanceRatio([0, 0, 0])).toBeNull();
    expect(unbalanceRatio([230, NaN, 230])).toBeNull();
    expect(legDifferenceRatio(126, 114, 120)).toBeCloseTo(0.1, 12);
    expect(legDifferenceRatio(114, 126, 120)).toBeCloseTo(-0.1, 12);
    expect(legDifferenceRatio(NaN, 126, 120)).toBeNull();
    expect(legDifferenceRatio(120, 126, 0)).toBeNull();
  });

  it('carry nothing without a leg or a rating', () => {
    expect(shoreCapacity({ ampsRated: 30, legs: [] }, 120)).toBeNull();
    expect(shoreCapacity({ ampsRated: 0, legs: ['L1'] }, 120)).toBeNull();
    expect(shoreCapacity({ ampsRated: 30, legs: ['L1'] }, NaN)).toBeNull();
    expect(shoreCapacity({ ampsRated: 30, legs: ['L1'] }, 120, 0)).toBeNull();
  });

  it('share a marina’s feeder in steps', () => {
    const receptacles = [1, 4, 5, 8, 9, 14, 15, 30, 31, 40, 41, 50, 51, 70, 71];
    const factors = [1, 1, 0.9, 0.9, 0.8, 0.8, 0.7, 0.7, 0.6, 0.6, 0.5, 0.5, 0.4, 0.4, 0.3];
    expect(receptacles.map(marinaDemandFactor)).toEqual(factors);
    expect(marinaDemandFactor(0)).toBeNull();
    expect(marinaDemandFactor(2.5)).toBeNull();
  });
});
