/**
 * Boats that nobody would wire, for tests and benchmarks: any number of sources, selectors, main
 * switches, buses and circuits, each fed from something before it, measured here and there.
 */
import { readBoat } from '../../../rules/index.ts';
import type { Boat, Part, PartId, Point } from '../../../rules/index.ts';

export interface BoatSize {
  sources: number;
  selectors: number;
  switches: number;
  buses: number;
  circuits: number;
  legs: 1 | 2;
  /** Share of voltages, of currents and of switch positions that are measured, 0..1. */
  measured: { volts: number; amps: number; positions: number };
}

/** A small generator of pseudo-random numbers 0..1, so that a seed tells the whole boat (mulberry32). */
export function seeded(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4_294_967_296;
  };
}

type Written = Record<string, unknown>;

const count = (n: number, name: string): string[] => Array.from({ length: n }, (_, i) => name + i);

class Wiring {
  readonly #size: BoatSize;
  readonly #random: () => number;
  readonly #legs: string[];
  readonly #points: Record<string, Written> = {};

  constructor(size: BoatSize, random: () => number) {
    this.#size = size;
    this.#random = random;
    this.#legs = size.legs === 2 ? ['L1', 'L2'] : ['L'];
  }

  /** Text of the boat's file; JSON is YAML. */
  text(): string {
    const { sources, selectors, switches, buses, circuits } = this.#size;
    const feeders = count(sources, 'source-');
    const parts: Written = {
      boat: { name: 'Random boat' },
      system: {
        ac: {
          kind: this.#legs.length === 2 ? 'split phase' : 'single phase',
          volts: 120,
          hertz: 60,
          legs: this.#legs,
        },
      },
      sources: Object.fromEntries(
        feeders.map((id) => [id, { kind: 'shore inlet', label: `Inlet ${id}`, amps: 50 }]),
      ),
    };
    const between = [...count(selectors, 'selector-'), ...count(switches, 'switch-')];
    const order = between.sort(() => this.#random() - 0.5);
    const written: { selectors: Written; switches: Written } = { selectors: {}, switches: {} };
    for (const id of order) {
      if (id.startsWith('selector')) written.selectors[id] = this.#selector(feeders);
      else written.switches[id] = { from: this.#pick(feeders), label: `Main ${id}` };
      feeders.push(id);
    }
    const busIds = count(buses, 'bus-');
    // Something hangs on most of what there is, or it could be left out.
    const above = (i: number): string => order[order.length - 1 - i] ?? this.#pick(feeders);
    const hung = busIds.map((id, i): [string, Written] => [
      id,
      { from: this.#random() < 0.7 ? above(i) : this.#pick(feeders), amps: 50, label: `Bus ${id}` },
    ]);
    const circuitIds = count(circuits, 'circuit-');
    const loads = circuitIds.map((id, i): [string, Written] => [
      id,
      {
        bus: busIds[i % busIds.length],
        ...(this.#legs.length > 1 ? { leg: this.#legs[i % 2] } : {}),
        breaker: { amps: 20 },
        load: 'resistive',
        label: `Load ${id}`,
      },
    ]);
    this.#measure([...count(sources, 'source-'), ...busIds], order, loads);
    return JSON.stringify({
      ...parts,
      ...written,
      buses: Object.fromEntries(hung),
      circuits: Object.fromEntries(loads),
      points: this.#points,
      intake: { mqtt: { broker: 'embedded', port: 1883 } },
    });
  }

  #pick<T>(from: readonly T[]): T {
    const one = from[Math.floor(this.#random() * from.length)];
    if (one === undefined) throw new Error('nothing to pick from');
    return one;
  }

  #selector(feeders: readonly string[]): Written {
    const wanted = 2 + Math.floor(this.#random() * 2);
    const from = new Set<string>();
    for (let tries = 0; tries < 20 && from.size < wanted; tries++) from.add(this.#pick(feeders));
    const positions = Object.fromEntries([...from].map((id, i) => [`P${i + 1}`, id]));
    return { label: 'Selector', positions: { OFF: 'nothing', ...positions } };
  }

  #point(of: string, quantity: string, leg?: string): void {
    const id = [of, leg, quantity]
      .filter((own) => own !== undefined)
      .join('-')
      .toLowerCase();
    const address = { mqtt: { topic: `random/${id}` } };
    this.#points[id] = { of, quantity, ...(leg === undefined ? {} : { leg }), ...address };
  }

  #measure(ends: string[], between: string[], loads: [string, Written][]): void {
    const { volts, amps, positions } = this.#size.measured;
    for (const id of ends) {
      for (const leg of this.#legs) {
        if (this.#random() < volts) this.#point(id, 'volts', leg);
        if (this.#random() < amps) this.#point(id, 'amps', leg);
      }
    }
    for (const id of between) {
      if (this.#random() >= positions) continue;
      this.#point(id, id.startsWith('selector') ? 'position' : 'switch');
    }
    for (const [id, { leg }] of loads) {
      if (this.#random() < amps) this.#point(id, 'amps', typeof leg === 'string' ? leg : 'L');
    }
  }
}

/** A boat of that size; the same seed gives the same boat. */
export function randomBoat(size: BoatSize, seed: number): Boat {
  const { boat, problems } = readBoat(new Wiring(size, seeded(seed)).text(), 'random');
  if (!boat) throw new Error(problems.map((own) => own.message).join('\n'));
  return boat;
}

/** How the switches really stand and which sources are live. */
export interface Truth {
  positions: Map<PartId, string>;
  live: Set<PartId>;
}

export function randomTruth(boat: Boat, random: () => number, liveShare = 0.4): Truth {
  const positions = new Map<PartId, string>();
  for (const { id, positions: names } of boat.selectors) {
    const all = [...names.keys()];
    positions.set(id, all[Math.floor(random() * all.length)] ?? '');
  }
  for (const { id } of boat.mainSwitches) positions.set(id, random() < 0.8 ? 'closed' : 'open');
  const live = boat.sources.filter(() => random() < liveShare).map((own) => own.id);
  return { positions, live: new Set(live) };
}

/** The source or battery that really feeds `id`, or null. */
export function rootOf(boat: Boat, truth: Truth, id: PartId): PartId | null {
  const part: Part | undefined = boat.parts.get(id);
  if (!part || part.part === 'source' || part.part === 'battery') return part?.id ?? null;
  if (part.part === 'circuit') return rootOf(boat, truth, part.bus);
  if (part.part === 'bus') return rootOf(boat, truth, part.from);
  const position = truth.positions.get(id) ?? '';
  if (part.part === 'main switch') {
    return position === 'closed' ? rootOf(boat, truth, part.from) : null;
  }
  const from = part.positions.get(position) ?? null;
  return from === null ? null : rootOf(boat, truth, from);
}

export function isLive(boat: Boat, truth: Truth, id: PartId): boolean {
  const root = rootOf(boat, truth, id);
  return root !== null && truth.live.has(root);
}

/** What an exact sensor reads when every circuit on a live bus draws `ampsEach`. */
export function exactReading(
  boat: Boat,
  truth: Truth,
  point: Point,
  ampsEach: number,
): number | string | null {
  const circuitsOf = (id: PartId): number =>
    isLive(boat, truth, id)
      ? boat.circuits.filter((own) => own.bus === id && own.legs.some((leg) => leg === point.leg))
          .length
      : 0;
  const part = boat.parts.get(point.of);
  switch (point.quantity) {
    case 'volts':
      return isLive(boat, truth, point.of) ? (boat.ac?.volts ?? 120) : 0;
    case 'amps':
      if (part?.part === 'circuit') return isLive(boat, truth, part.id) ? ampsEach : 0;
      if (part?.part === 'bus') return circuitsOf(part.id) * ampsEach;
      return boat.buses
        .filter((bus) => rootOf(boat, truth, bus.id) === point.of)
        .reduce((total, bus) => total + circuitsOf(bus.id) * ampsEach, 0);
    case 'position':
    case 'switch':
      return truth.positions.get(point.of) ?? null;
    default:
      return null;
  }
}
