import { describe, expect, it } from 'vitest';
import {
  airConditionerGeneratorWatts,
  ampsPerLeg,
  bestClassOf,
  CLASS_LIMITS,
  deratingFactor,
  droopClassOf,
  FUEL_LINE_20_KW,
  fuelLineThrough,
  fuelLitresPerHour,
  generatorBreakerAmpsMax,
  generatorLoading,
  heaterWattsAt,
  isLightlyLoaded,
  isWithinClass,
  lockedRotorAmps,
  steadyVoltsClassOf,
  voltAmpsAt,
  type GeneratorClass,
} from '../../../rules/electrical/index.ts';

const BAD = [NaN, Infinity, -1];
const rating = { voltAmpsRated: 12_000, ampsRated: 50 };

describe('generator loading', () => {
  it('shows each leg, and does not call an open overload hidden', () => {
    expect(generatorLoading(rating, 120, [25, 50])).toEqual({
      voltAmpsRatio: 0.75,
      legRatios: [0.5, 1],
      worstLegRatio: 1,
      isHiddenOverload: false,
    });
    expect(generatorLoading(rating, 120, [60, 60])?.isHiddenOverload).toBe(false);
    expect(generatorLoading(rating, 120, [50.1, 0])?.isHiddenOverload).toBe(true);
  });

  it('is null for no legs or bad numbers', () => {
    expect(generatorLoading(rating, 120, [])).toBeNull();
    for (const bad of BAD) {
      expect(generatorLoading(rating, 120, [bad])).toBeNull();
      expect(generatorLoading(rating, bad, [1])).toBeNull();
      expect(generatorLoading({ ...rating, ampsRated: bad }, 120, [1])).toBeNull();
      expect(voltAmpsAt(bad, 0.8)).toBeNull();
      expect(voltAmpsAt(1, bad)).toBeNull();
      expect(ampsPerLeg(bad, 120, 2)).toBeNull();
      expect(ampsPerLeg(1000, 120, bad)).toBeNull();
      expect(generatorBreakerAmpsMax(bad)).toBeNull();
    }
    expect(voltAmpsAt(1000, 0)).toBeNull();
    expect(ampsPerLeg(1000, 120, 1.5)).toBeNull();
  });

  it('is light below 30 %, and at rest', () => {
    expect(isLightlyLoaded(3599, 12_000)).toBe(true);
    expect(isLightlyLoaded(3600, 12_000)).toBe(false);
    expect(isLightlyLoaded(0, 12_000)).toBe(true);
    expect(isLightlyLoaded(5000, 12_000, 0.5)).toBe(true);
    expect(isLightlyLoaded(NaN, 12_000)).toBeNull();
    expect(isLightlyLoaded(1, 0)).toBeNull();
    expect(isLightlyLoaded(1, 100, 2)).toBeNull();
  });
});

describe('derating', () => {
  it('starts above its limits, multiplies and never leaves 0..1', () => {
    expect(deratingFactor(40, 1000)).toBe(1);
    expect(deratingFactor(-10, 0)).toBe(1);
    expect(deratingFactor(50, 1500)).toBeCloseTo(0.94 * 0.97, 12);
    expect(deratingFactor(1000, 0)).toBe(0);
    expect(deratingFactor(NaN, 0)).toBeNull();
    expect(deratingFactor(20, Infinity)).toBeNull();
  });
});

describe('generator classes', () => {
  const volts = { quantity: 'volts', rated: 100, extreme: 80, recoverySeconds: 6 } as const;

  it('include their limits', () => {
    expect(isWithinClass(volts, 'G2')).toBe(true);
    expect(isWithinClass({ ...volts, extreme: 79.9 }, 'G2')).toBe(false);
    expect(isWithinClass({ ...volts, recoverySeconds: 6.1 }, 'G2')).toBe(false);
    expect(isWithinClass({ ...volts, extreme: 125 }, 'G2')).toBe(true);
    expect(isWithinClass({ ...volts, extreme: 125.1 }, 'G2')).toBe(false);
  });

  it('grow stricter in every number', () => {
    const numbers = (of: GeneratorClass): number[] => Object.values(CLASS_LIMITS[of]);
    numbers('G2').forEach((limit, at) => {
      expect(limit).toBeLessThan(numbers('G1')[at] ?? NaN);
      expect(limit).toBeGreaterThan(numbers('G3')[at] ?? NaN);
    });
    expect(numbers('G2')).toHaveLength(8);
  });

  it('are the best that every transient allows', () => {
    const gentle = { ...volts, extreme: 95, recoverySeconds: 1 };
    expect(bestClassOf([gentle])).toBe('G3');
    expect(bestClassOf([gentle, volts])).toBe('G2');
    expect(bestClassOf([gentle, { ...volts, extreme: 60 }])).toBe('none');
    expect(bestClassOf([])).toBeNull();
    expect(bestClassOf([gentle, { ...volts, extreme: NaN }])).toBeNull();
  });

  it('tell steady voltage and droop', () => {
    const classes = ['G3', 'G2', 'G1', 'none'];
    expect([100.9, 102, 104, 106].map((volt) => steadyVoltsClassOf(volt, 100))).toEqual(classes);
    expect([60.5, 62.5, 64.5, 66].map((hertz) => droopClassOf(hertz, 60, 60))).toEqual(classes);
    expect(steadyVoltsClassOf(NaN, 100)).toBeNull();
    expect(droopClassOf(62, 0, 60)).toBeNull();
  });
});

describe('fuel', () => {
  it('is the idle rate without load', () => {
    expect(fuelLitresPerHour(FUEL_LINE_20_KW, 0)).toBe(0.946);
    expect(fuelLitresPerHour(FUEL_LINE_20_KW, 10_000)).toBeCloseTo(3.52, 9);
    expect(fuelLitresPerHour(FUEL_LINE_20_KW, -1)).toBeNull();
  });

  it('needs two different loads for a line', () => {
    const point = { watts: 1000, litresPerHour: 1 };
    expect(fuelLineThrough([])).toBeNull();
    expect(fuelLineThrough([point, point])).toBeNull();
    const line = fuelLineThrough([point, { watts: 3000, litresPerHour: 2 }]);
    expect(line?.litresPerHourIdle).toBeCloseTo(0.5, 9);
    expect(line?.litresPerKilowattHour).toBeCloseTo(0.5, 9);
  });
});

describe('single loads', () => {
  it('have code letters that follow on each other without a gap', () => {
    const letters = ['A', 'B', 'C', 'D', 'E', 'F', 'G', 'H', 'J', 'K', 'L', 'M'] as const;
    const more = ['N', 'P', 'R', 'S', 'T', 'U'] as const;
    // At 1000 V one horsepower of 1 kVA draws 1 A.
    const ranges = [...letters, ...more].map((letter) => lockedRotorAmps(letter, 1, 1000));
    expect(ranges[0]?.min).toBe(0);
    ranges.slice(1).forEach((range, at) => {
      expect(range?.min).toBeCloseTo((ranges[at]?.max ?? NaN) + 0.01, 9);
    });
    expect(ranges.at(-1)?.max).toBeCloseTo(22.39, 9);
  });

  it('are null for bad numbers', () => {
    for (const bad of BAD) {
      expect(lockedRotorAmps('K', bad, 115)).toBeNull();
      expect(lockedRotorAmps('K', 1, bad)).toBeNull();
      expect(heaterWattsAt(bad, 120, 120)).toBeNull();
      expect(heaterWattsAt(1, bad, 120)).toBeNull();
      expect(heaterWattsAt(1, 120, bad)).toBeNull();
      expect(airConditionerGeneratorWatts(bad)).toBeNull();
    }
  });
});
