/** What is said of a path of open marine data beside its values. Units are SI, as the format asks. */
import type { Boat, Quantity } from '../../rules/index.ts';

export interface PathMeta {
  path: string;
  description: string;
  /** Absent for words. */
  units?: string;
}

const UNITS: Readonly<Partial<Record<Quantity, string>>> = {
  volts: 'V',
  amps: 'A',
  watts: 'W',
  hertz: 'Hz',
  powerFactor: 'ratio',
  stateOfCharge: 'ratio',
  celsius: 'K',
};

const WORDS: Readonly<Record<Quantity, string>> = {
  volts: 'voltage',
  amps: 'current',
  watts: 'power',
  hertz: 'frequency',
  powerFactor: 'power factor',
  stateOfCharge: 'state of charge',
  celsius: 'temperature',
  position: 'position',
  switch: 'switch position',
};

/** One for every open-marine-data point of the boat file. */
export function pathMetaOf(boat: Boat): PathMeta[] {
  return [...boat.points.values()].flatMap(({ address, of, quantity }) => {
    if (address.via !== 'marine data') return [];
    const label = boat.parts.get(of)?.label ?? of;
    const units = UNITS[quantity];
    const description = `${label}, ${WORDS[quantity]}`;
    return [{ path: address.path, description, ...(units === undefined ? {} : { units }) }];
  });
}
