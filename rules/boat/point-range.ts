/**
 * Readings that cannot be. Wide on purpose: what a refused reading would have told is lost, so a
 * fault of the boat must always fit in; only a fault of the sensor or of its unit may not.
 */
import type { Boat, Part, Quantity } from './boat.ts';

export interface PointRange {
  min: number;
  max: number;
}

/**
 * An open neutral puts up to twice the nominal volts on a leg, and a bank under charge with its
 * regulator stuck some half more than nominal.
 */
const MOST_VOLTS_RATIO = 2.5;
/** A transducer's zero may be off by a twentieth, and a dead leg must read dead, not impossible. */
const ZERO_ERROR_DIVISOR = 20;
/** Upper end of the magnetic band of IEC 60898-1 type D: more than that has tripped the breaker. */
const MOST_AMPS_RATIO = 20;
/** Starter motors and windlasses, where nothing else is known. */
const MOST_AMPS_UNRATED = 2000;

/** Default range of a point, in the units of readings. */
export function usualRange(
  quantity: Quantity,
  part: Part,
  boat: Pick<Boat, 'ac' | 'dc'>,
): PointRange {
  const volts = nominalVolts(part, boat);
  const amps = mostAmps(part);
  switch (quantity) {
    case 'volts':
      return { min: -volts / ZERO_ERROR_DIVISOR, max: MOST_VOLTS_RATIO * volts };
    case 'amps':
      // A signed clamp on the wrong way round reads negative; that is not impossible.
      return { min: -amps, max: amps };
    case 'watts':
      return { min: -amps * volts, max: amps * volts };
    case 'hertz':
      return { min: 0, max: 2 * (boat.ac?.hertz ?? 60) };
    case 'powerFactor':
    case 'stateOfCharge':
      return { min: 0, max: 1 };
    case 'celsius':
      return { min: -60, max: 300 };
    case 'position':
    case 'switch':
      return { min: -Infinity, max: Infinity };
  }
}

function nominalVolts(part: Part, { ac, dc }: Pick<Boat, 'ac' | 'dc'>): number {
  if (part.part === 'battery') return part.volts;
  return (part.system === 'ac' ? ac?.volts : dc?.volts) ?? 0;
}

function mostAmps(part: Part): number {
  const rated = ratedAmps(part);
  if (part.system === 'dc' && part.part !== 'circuit') {
    // Starting an engine is no fault of the house bank it is switched to.
    return Math.max(MOST_AMPS_UNRATED, MOST_AMPS_RATIO * (rated ?? 0));
  }
  return rated === undefined ? MOST_AMPS_UNRATED : MOST_AMPS_RATIO * rated;
}

function ratedAmps(part: Part): number | undefined {
  switch (part.part) {
    case 'source':
    case 'bus':
      return part.ampsRated;
    case 'circuit':
    case 'main switch':
      return part.breaker?.ampsRated;
    case 'battery':
    case 'selector':
      return undefined;
  }
}
