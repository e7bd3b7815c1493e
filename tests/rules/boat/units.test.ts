/** Units against mathjs, a general-purpose tool with unit tables of its own. */
import * as fc from 'fast-check';
import { unit } from 'mathjs';
import { describe, expect, it } from 'vitest';
import { baseUnitOf, toBaseUnit, unitsOf } from '../../../rules/boat/units.ts';

const NUMERIC = [
  'volts',
  'amps',
  'watts',
  'hertz',
  'powerFactor',
  'stateOfCharge',
  'celsius',
] as const;

/** How mathjs spells the units that it spells otherwise. */
const SPELLING: Readonly<Record<string, string>> = {
  C: 'degC',
  '°C': 'degC',
  F: 'degF',
  '°F': 'degF',
};

const pairs = NUMERIC.filter((name) => name !== 'powerFactor' && name !== 'stateOfCharge').flatMap(
  (quantity) => unitsOf(quantity).map((name) => [quantity, name] as const),
);

describe('units of points', () => {
  it.each(pairs)('%s in %s comes out as mathjs has it', (quantity, name) => {
    const base = baseUnitOf(quantity);
    fc.assert(
      fc.property(fc.double({ min: -1e4, max: 1e4, noNaN: true }), (value) => {
        const expected = unit(value, SPELLING[name] ?? name).toNumber(SPELLING[base] ?? base);
        expect(toBaseUnit(quantity, name, value)).toBeCloseTo(expected, 6);
      }),
    );
  });

  it('takes the fixed points of the temperature scales', () => {
    // ITS-90: water freezes at 273.15 K; 98.6 degrees F and 310.15 K are 37 degrees C.
    expect(toBaseUnit('celsius', 'K', 273.15)).toBe(0);
    expect(toBaseUnit('celsius', 'F', 212)).toBe(100);
    expect(toBaseUnit('celsius', '°F', 98.6)).toBeCloseTo(37, 10);
    expect(toBaseUnit('celsius', 'K', 310.15)).toBeCloseTo(37, 10);
  });

  it('takes per cent for ratios', () => {
    expect(toBaseUnit('stateOfCharge', '%', 85)).toBe(0.85);
    expect(toBaseUnit('powerFactor', 'percent', 100)).toBe(1);
    expect(toBaseUnit('stateOfCharge', 'ratio', 0.3)).toBe(0.3);
  });

  it('throws for a unit that no checked boat file has', () => {
    expect(() => toBaseUnit('volts', 'A', 1)).toThrow(RangeError);
    expect(() => toBaseUnit('switch', '', 1)).toThrow(RangeError);
    expect(unitsOf('position')).toEqual([]);
    expect(baseUnitOf('switch')).toBe('');
  });
});
