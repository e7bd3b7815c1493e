/**
 * Units that a point may be sent in, and the way from each to the unit that readings carry. The
 * tests hold them against mathjs.
 */
import type { Quantity } from './boat.ts';

/** Quantities that are numbers. */
export type NumericQuantity = Exclude<Quantity, 'position' | 'switch'>;

interface Unit {
  name: string;
  /** Other spellings, for keyboards without a degree sign. */
  also?: readonly string[];
  toBase: (value: number) => number;
}

const same = (value: number): number => value;
const milli = (value: number): number => value / 1000;
const kilo = (value: number): number => value * 1000;

/** The base unit comes first. */
const UNITS: Readonly<Record<NumericQuantity, readonly Unit[]>> = {
  volts: [
    { name: 'V', toBase: same },
    { name: 'mV', toBase: milli },
    { name: 'kV', toBase: kilo },
  ],
  amps: [
    { name: 'A', toBase: same },
    { name: 'mA', toBase: milli },
    { name: 'kA', toBase: kilo },
  ],
  watts: [
    { name: 'W', toBase: same },
    { name: 'mW', toBase: milli },
    { name: 'kW', toBase: kilo },
  ],
  hertz: [
    { name: 'Hz', toBase: same },
    { name: 'mHz', toBase: milli },
  ],
  powerFactor: [
    { name: 'ratio', toBase: same },
    { name: '%', also: ['percent'], toBase: (value) => value / 100 },
  ],
  stateOfCharge: [
    { name: 'ratio', toBase: same },
    { name: '%', also: ['percent'], toBase: (value) => value / 100 },
  ],
  celsius: [
    { name: 'C', also: ['°C'], toBase: same },
    { name: 'K', toBase: (value) => value - 273.15 },
    { name: 'F', also: ['°F'], toBase: (value) => ((value - 32) * 5) / 9 },
  ],
};

export function isNumeric(quantity: Quantity): quantity is NumericQuantity {
  return quantity !== 'position' && quantity !== 'switch';
}

/** Units that the boat file may give for a quantity, base unit first; none for words. */
export function unitsOf(quantity: Quantity): string[] {
  if (!isNumeric(quantity)) return [];
  return UNITS[quantity].flatMap(({ name, also }) => [name, ...(also ?? [])]);
}

/** The unit that readings of a quantity carry, as the boat file spells it; '' for words. */
export function baseUnitOf(quantity: Quantity): string {
  return unitsOf(quantity)[0] ?? '';
}

/**
 * `value` in `unit` as the number that a reading carries: V, A, W, Hz, 0..1 or degrees Celsius.
 * Throws RangeError for a unit that `unitsOf(quantity)` does not list: boat files are checked.
 */
export function toBaseUnit(quantity: Quantity, unit: string, value: number): number {
  return baseUnitConversion(quantity, unit)(value);
}

/** `toBaseUnit` for many values: the unit is looked up once. Throws as it does. */
export function baseUnitConversion(quantity: Quantity, unit: string): (value: number) => number {
  const units = isNumeric(quantity) ? UNITS[quantity] : [];
  const found = units.find(({ name, also }) => name === unit || also?.includes(unit) === true);
  if (found === undefined) throw new RangeError(`no unit "${unit}" for ${quantity}`);
  return found.toBase;
}
