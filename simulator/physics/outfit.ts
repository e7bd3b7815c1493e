/** Fits a boat out: makes the sources and loads of her boat file from the ship's own parameters. */
import type { Boat, Circuit, LegName, PartId, ShoreInlet, Source } from '../../rules/index.ts';
import { createRandom } from '../random.ts';
import type { Ship } from '../ships/ship.ts';
import type { AcSource, LegsOfSource } from './ac-source.ts';
import { conductorOhms } from './copper.ts';
import { Generator } from './generator.ts';
import { Inverter } from './inverter.ts';
import { createLoad } from './loads/index.ts';
import type { Load } from './loads/load.ts';
import { Pedestal } from './pedestal.ts';
import { SolarArray } from './solar.ts';
import type { LegIndex } from './three-wire.ts';

/** A cord on a dock in the sun. */
const CORD_CELSIUS = 30;

export class Sources {
  readonly ac = new Map<PartId, AcSource>();
  readonly pedestals = new Map<PartId, Pedestal>();
  readonly generators = new Map<PartId, Generator>();
  readonly inverters = new Map<PartId, Inverter>();
  readonly solar = new Map<PartId, SolarArray>();
  readonly #legs: readonly LegName[];

  constructor(boat: Boat) {
    this.#legs = boat.ac?.legs ?? [];
  }

  legIndex(leg: LegName): LegIndex {
    const index = this.#legs.indexOf(leg);
    if (index !== 0 && index !== 1) throw new Error(`no such leg: ${leg}`);
    return index;
  }

  legsOf(names: readonly LegName[]): LegsOfSource {
    return names.map((leg) => this.legIndex(leg));
  }

  pedestal(inlet: PartId): Pedestal {
    const pedestal = this.pedestals.get(inlet);
    if (pedestal === undefined) throw new Error(`no shore inlet: ${inlet}`);
    return pedestal;
  }

  generator(id: PartId): Generator {
    const generator = this.generators.get(id);
    if (generator === undefined) throw new Error(`no generator: ${id}`);
    return generator;
  }

  startable(id: PartId): Generator | Inverter {
    const source = this.generators.get(id) ?? this.inverters.get(id);
    if (source === undefined) throw new Error(`no generator or inverter: ${id}`);
    return source;
  }
}

/** Throws where a source of the boat has no parameters, or those of another kind. */
export function buildSources(boat: Boat, ship: Ship, seed: number): Sources {
  const sources = new Sources(boat);
  for (const part of boat.sources) addSource(sources, part, ship, seed);
  return sources;
}

function addSource(sources: Sources, part: Source, ship: Ship, seed: number): void {
  const parameters = ship.sources[part.id];
  const { id } = part;
  if (part.kind === 'shore inlet' && parameters?.kind === 'pedestal') {
    const random = createRandom(seed, 'pedestal', id);
    const legs = sources.legsOf(part.legs);
    sources.pedestals.set(id, new Pedestal(parameters, legs, cordOhms(part), random));
  } else if (part.kind === 'generator' && parameters?.kind === 'generator') {
    const rating = { watts: part.wattsRated, amps: part.ampsRated };
    const random = createRandom(seed, 'generator', id);
    const legs = sources.legsOf(part.legs);
    sources.generators.set(id, new Generator(parameters, legs, rating, random));
  } else if (part.kind === 'inverter' && parameters?.kind === 'inverter') {
    const legs = sources.legsOf(part.legs);
    const random = createRandom(seed, 'inverter', id);
    sources.inverters.set(id, new Inverter(parameters, legs, part.wattsRated, random));
  } else if (part.kind === 'solar' && parameters?.kind === 'solar') {
    const rating = { watts: part.wattsRated, amps: part.ampsRated };
    sources.solar.set(id, new SolarArray(parameters, rating));
  } else throw new Error(`no physics for the ${part.kind} ${id}`);
  const ac = sources.pedestals.get(id) ?? sources.generators.get(id) ?? sources.inverters.get(id);
  if (ac !== undefined) sources.ac.set(id, ac);
}

/** Ohms of one conductor of an inlet's cord; zero where the boat file describes none. */
function cordOhms(inlet: ShoreInlet): number {
  return inlet.cord === undefined ? 0 : conductorOhms(inlet.cord, CORD_CELSIUS);
}

/** Throws where a circuit of the boat has no parameters. */
export function buildLoads(boat: Boat, ship: Ship, seed: number): Map<PartId, Load> {
  const loads = new Map<PartId, Load>();
  for (const circuit of boat.circuits) {
    const parameters = ship.loads[circuit.id];
    if (parameters === undefined) throw new Error(`no physics for circuit ${circuit.id}`);
    const random = createRandom(seed, 'load', circuit.id);
    loads.set(circuit.id, createLoad(parameters, voltsAcross(boat, circuit), random));
  }
  return loads;
}

function voltsAcross(boat: Boat, circuit: Circuit): number {
  if (circuit.system === 'dc') return boat.dc?.volts ?? 12;
  return (boat.ac?.volts ?? 0) * circuit.legs.length;
}
