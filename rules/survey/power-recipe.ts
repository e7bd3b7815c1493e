/**
 * Where the watts of a part come from: its own meter, else its amperes and the volts nearest to it,
 * else its amperes and nominal volts. Without a power factor, volts times amperes is the apparent
 * power and so an upper bound; the basis says which it is.
 */
import type {
  Battery,
  Boat,
  Bus,
  Circuit,
  LegName,
  PartId,
  Point,
  Quantity,
  Source,
} from '../boat/boat.ts';
import { batteryVolts, nominalVolts } from '../panel/nominal.ts';

export type Surveyed = Source | Bus | Circuit | Battery;

export type PowerBasis = 'measured watts' | 'amps and volts' | 'amps and nominal volts';

/** Newest value of a point, null where it has none that is fresh. */
export type ValueOf = (point: Point) => number | null;

export interface PowerRecipe {
  basis: PowerBasis;
  /** Volts that it takes for granted; null where it measures them. */
  nominal: number | null;
  /** Points that it reads. */
  points: readonly Point[];
  /** Watts of all legs together; null unless every input has a value. */
  watts: (valueOf: ValueOf) => number | null;
}

type PointFor = (id: string, quantity: Quantity, leg?: LegName) => Point | undefined;

export function pointFinder(boat: Boat): PointFor {
  const key = (id: string, quantity: string, leg?: string): string =>
    [id, quantity, leg ?? ''].join('\n');
  const found = new Map<string, Point>();
  for (const point of boat.points.values()) {
    found.set(key(point.of, point.quantity, point.leg), point);
  }
  return (id, quantity, leg) => found.get(key(id, quantity, leg)) ?? found.get(key(id, quantity));
}

/** Null: nothing aboard measures what the part draws or gives. */
export function powerRecipe(boat: Boat, part: Surveyed, pointFor: PointFor): PowerRecipe | null {
  return measured(part, pointFor) ?? multiplied(boat, part, pointFor);
}

function measured(part: Surveyed, pointFor: PointFor): PowerRecipe | null {
  const points = part.legs.flatMap((leg) => pointFor(part.id, 'watts', leg) ?? []);
  // A circuit across both legs may have one meter for all of it.
  const isWhole =
    points.length === part.legs.length || (part.part === 'circuit' && points.length > 0);
  if (!isWhole) return null;
  const distinct = [...new Set(points)];
  return {
    basis: 'measured watts',
    nominal: null,
    points: distinct,
    watts: (valueOf) => sumOf(distinct.map(valueOf)),
  };
}

interface Leg {
  amps: Point;
  factor: Point | undefined;
  volts: Point | undefined;
}

function multiplied(boat: Boat, part: Surveyed, pointFor: PointFor): PowerRecipe | null {
  const clamps = part.legs.map((leg) => pointFor(part.id, 'amps', leg));
  // What flows in one leg of a circuit across both flows in the other.
  const spare = part.part === 'circuit' ? clamps.find((own) => own !== undefined) : undefined;
  const legs: Leg[] = [];
  for (const [at, leg] of part.legs.entries()) {
    const amps = clamps[at] ?? spare;
    if (amps === undefined) return null;
    const volts = pointFor(part.id, 'volts', leg) ?? pointFor(nearestTo(part), 'volts', leg);
    legs.push({ amps, factor: pointFor(part.id, 'powerFactor', leg), volts });
  }
  const nominal = nominalVolts(boat, part.system, batteryVolts(part));
  const hasVolts = legs.every(({ volts }) => volts !== undefined);
  return {
    basis: hasVolts ? 'amps and volts' : 'amps and nominal volts',
    nominal: hasVolts ? null : nominal,
    points: [
      ...new Set(legs.flatMap((leg) => Object.values<Point | undefined>({ ...leg }))),
    ].filter((point) => point !== undefined),
    watts: (valueOf) => sumOf(legs.map((leg) => wattsOf(leg, nominal, valueOf))),
  };
}

/** Whose volts a part has within the drop of a wire: its bus's, or those of the bank it charges. */
function nearestTo(part: Surveyed): PartId {
  if (part.part === 'circuit') return part.bus;
  return part.system === 'dc' && 'battery' in part ? part.battery : part.id;
}

function wattsOf({ amps, factor, volts }: Leg, nominal: number, valueOf: ValueOf): number | null {
  const current = valueOf(amps);
  const tension = volts ? valueOf(volts) : nominal;
  const share = factor ? valueOf(factor) : 1;
  return current === null || tension === null || share === null ? null : current * tension * share;
}

function sumOf(values: readonly (number | null)[]): number | null {
  let sum = 0;
  for (const value of values) {
    if (value === null) return null;
    sum += value;
  }
  return sum;
}
