/**
 * What the fresh readings say about the supply, as plain facts: this leg has voltage, that one has
 * none, here flows current, this switch reports its position. Positions are then those that no
 * fact contradicts. A stale reading is no fact, nor is one of a sensor that hangs.
 */
import type { Boat, Circuit, LegName, Point, PointId } from '../boat/boat.ts';
import { Hanging } from './hanging.ts';
import type { Latest } from './latest.ts';
import { circuitsOn } from './lookup.ts';
import { batteryVolts, nominalVolts } from './nominal.ts';
import type { Live } from './panel-state.ts';
import { isRoot } from './supply.ts';
import type { Root, Supplied, Supply } from './supply.ts';

/** One reading behind a fact, such as `Climate bus has voltage`. */
export interface Ground {
  point: PointId;
  text: string;
}

/** A claim about one leg of one supplied part, with all that it rests on, strongest first. */
export interface LegFact {
  part: number;
  leg: LegName;
  claims: 'live' | 'dead';
  grounds: Ground[];
}

/** Amperes of a root or bus leg, as bounds: `high` is null where something may be unmetered. */
export interface CurrentFact {
  part: number;
  leg: LegName;
  low: number;
  high: number | null;
  /** The same over the last readings, within which clamps speak in turn. */
  lowest: number;
  highest: number | null;
}

export interface Facts {
  legs: LegFact[];
  /** Reported position by part number. */
  reported: Map<number, string>;
  /** Measured state of each root's legs; a leg that is not measured is absent. */
  roots: Map<number, Map<LegName, 'live' | 'dead'>>;
  currents: CurrentFact[];
  /** Parts that something else than a reading speaks of. */
  spokenOf: ReadonlySet<number>;
  /** Roots that are measured dead on a leg that delivers current: a sensor is wrong. */
  impossible: { part: number; text: string; points: PointId[] }[];
}

/** Live or dead by volts; unknown between the two limits, where it could be either. */
export function liveByVolts(boat: Boat, volts: number | null, nominal: number): Live {
  if (volts === null) return 'unknown';
  const ratio = Math.abs(volts) / nominal;
  if (ratio >= boat.limits.liveRatio) return 'live';
  return ratio < boat.limits.deadRatio ? 'dead' : 'unknown';
}

/** `leg` only where the part has more than one. */
const named = (label: string, leg: LegName, legs: readonly LegName[]): string =>
  legs.length > 1 ? `${label} leg ${leg}` : label;

/** A circuit on a bus leg, with the clamps that tell its current. */
interface Clamped {
  circuit: Circuit;
  /** One clamp on either leg of a two-leg load tells both. */
  points: Point[];
  text: string;
}

type Bounds = Omit<CurrentFact, 'part' | 'leg'>;

const NO_CURRENT: Bounds = { low: 0, high: 0, lowest: 0, highest: 0 };

/** Everything about one leg that readings can tell, looked up once. */
interface LegProbe {
  part: number;
  leg: LegName;
  name: string;
  nominal: number;
  volts: Point | undefined;
  amps: Point | undefined;
  root: Root | null;
  isBus: boolean;
  circuits: Clamped[];
}

interface PositionProbe {
  part: number;
  point: Point;
}

/** Collects the facts of one boat, again and again. */
export class FactFinder {
  readonly #boat: Boat;
  readonly #latest: Latest;
  readonly #hanging: Hanging;
  readonly #legs: LegProbe[] = [];
  readonly #positions: PositionProbe[] = [];

  constructor(boat: Boat, supply: Supply, latest: Latest, hanging = new Hanging(boat, latest)) {
    this.#boat = boat;
    this.#latest = latest;
    this.#hanging = hanging;
    supply.parts.forEach(({ part, legs }, number) => {
      if (part.part === 'selector' || part.part === 'main switch') {
        const point = latest.point(part.id, part.part === 'selector' ? 'position' : 'switch');
        if (point) this.#positions.push({ part: number, point });
      }
      const circuits = part.part === 'bus' ? circuitsOn(boat, part.id) : [];
      for (const leg of legs) {
        this.#legs.push(this.#probe(number, part, leg, legs, circuits));
      }
    });
  }

  /** The facts as of `nowMs`; `spokenOf` as in `Facts`. */
  collect(nowMs: number, spokenOf: ReadonlySet<number> = new Set()): Facts {
    const facts: Facts = {
      legs: [],
      reported: new Map(),
      roots: new Map(),
      currents: [],
      spokenOf,
      impossible: [],
    };
    for (const { part, point } of this.#positions) {
      const word = this.#latest.wordAt(point, nowMs);
      if (word !== null) facts.reported.set(part, word === 'tripped' ? 'open' : word);
    }
    for (const probe of this.#legs) {
      if (probe.root) this.#ofRoot(probe, probe.root, facts, nowMs);
      else this.#ofSupplied(probe, facts, nowMs);
    }
    return facts;
  }

  #probe(
    number: number,
    part: Root | Supplied,
    leg: LegName,
    legs: readonly LegName[],
    circuits: readonly Circuit[],
  ): LegProbe {
    const latest = this.#latest;
    return {
      part: number,
      leg,
      name: named(part.label, leg, legs),
      nominal: nominalVolts(this.#boat, part.system, batteryVolts(part)),
      volts: latest.point(part.id, 'volts', leg),
      amps: latest.point(part.id, 'amps', leg),
      root: isRoot(part) ? part : null,
      isBus: part.part === 'bus',
      circuits: circuits
        .filter((circuit) => circuit.legs.includes(leg))
        .map((circuit) => ({
          circuit,
          points: circuit.legs.flatMap((own) => latest.point(circuit.id, 'amps', own) ?? []),
          text: `${circuit.label} draws current`,
        }))
        .filter((own) => own.points.length > 0),
    };
  }

  #live({ volts, nominal }: LegProbe, nowMs: number): Live {
    // What a hanging sensor repeats is no fact.
    if (!volts || this.#hanging.hangs(volts)) return 'unknown';
    return liveByVolts(this.#boat, this.#latest.numberAt(volts, nowMs), nominal);
  }

  #amps(point: Point | undefined, nowMs: number): number | null {
    const amps = point ? this.#latest.numberAt(point, nowMs) : null;
    if (amps === null || !point || this.#hanging.hangs(point)) return null;
    return Math.abs(amps);
  }

  #ofRoot(probe: LegProbe, root: Root, facts: Facts, nowMs: number): void {
    const { part, leg } = probe;
    const live = this.#live(probe, nowMs);
    if (live !== 'unknown') {
      const own = facts.roots.get(part) ?? new Map<LegName, 'live' | 'dead'>();
      facts.roots.set(part, own.set(leg, live));
    }
    const amps = this.#amps(probe.amps, nowMs);
    if (amps === null || !probe.amps || root.part !== 'source') return;
    const window = this.#window(probe.amps);
    if (window) facts.currents.push({ part, leg, low: amps, high: amps, ...window });
    if (live === 'dead' && amps > this.#boat.limits.drawingAmps) {
      const points = [probe.volts, probe.amps].flatMap((point) => (point ? [point.id] : []));
      const text = `${probe.name} is measured to deliver current without voltage.`;
      facts.impossible.push({ part, text, points });
    }
  }

  #ofSupplied(probe: LegProbe, facts: Facts, nowMs: number): void {
    const { part, leg, name } = probe;
    const live = this.#live(probe, nowMs);
    const grounds: Ground[] = [];
    if (live === 'live' && probe.volts) {
      grounds.push({ point: probe.volts.id, text: `${name} has voltage` });
    }
    const amps = this.#amps(probe.amps, nowMs);
    if (amps !== null && probe.amps && amps > this.#boat.limits.drawingAmps) {
      grounds.push({ point: probe.amps.id, text: `${name} draws current` });
    }
    const drawn = { low: 0, lowest: 0 };
    for (const { circuit, points, text } of probe.circuits) {
      const clamp = this.#firstFresh(points, nowMs);
      if (!clamp || clamp.amps <= circuit.drawingAmps) continue;
      drawn.low += clamp.amps;
      drawn.lowest += this.#window(clamp.point)?.lowest ?? 0;
      grounds.push({ point: clamp.point.id, text });
    }
    if (grounds.length > 0) facts.legs.push({ part, leg, claims: 'live', grounds });
    if (live === 'dead' && probe.volts) {
      const dead = [{ point: probe.volts.id, text: `${name} reads no voltage` }];
      facts.legs.push({ part, leg, claims: 'dead', grounds: dead });
    }
    if (probe.isBus) {
      // A dead bus draws nothing.
      const isIdle = live === 'dead' && grounds.length === 0;
      facts.currents.push({
        part,
        leg,
        ...(isIdle ? NO_CURRENT : this.#drawn(probe, amps, drawn)),
      });
    }
  }

  /** What a bus draws by its own clamp; where it has none, its circuits' are a lower bound. */
  #drawn(
    { amps: clamp }: LegProbe,
    amps: number | null,
    byCircuits: { low: number; lowest: number },
  ): Bounds {
    const window = clamp && this.#window(clamp);
    if (amps === null || !window) return { ...byCircuits, high: null, highest: null };
    return { low: amps, high: amps, ...window };
  }

  /** Bounds over the last readings; null for a clamp that stands still. */
  #window(clamp: Point): { lowest: number; highest: number } | null {
    const window = this.#latest.currentWindow(clamp);
    if (!window || this.#latest.isStill(clamp)) return null;
    return { lowest: window.lowest, highest: window.highest };
  }

  #firstFresh(points: readonly Point[], nowMs: number): { point: Point; amps: number } | null {
    for (const point of points) {
      const amps = this.#amps(point, nowMs);
      if (amps !== null) return { point, amps };
    }
    return null;
  }
}

/** Two sets of facts with the same key allow the same positions, amperes aside. */
export function factsKeys(supply: Supply, facts: Facts): string[] {
  const keys: string[] = Array.from({ length: supply.groups }, () => '');
  const add = (part: number, text: string): void => {
    const group = supply.parts[part]?.group ?? 0;
    keys[group] = `${keys[group] ?? ''}${part}${text};`;
  };
  for (const { part, leg, claims, grounds } of facts.legs) {
    // The first ground is the one that reasons name.
    add(part, `${leg}${claims}${grounds[0]?.point ?? ''}`);
  }
  for (const [part, position] of facts.reported) add(part, `=${position}`);
  for (const [part, legs] of facts.roots) for (const [leg, live] of legs) add(part, leg + live);
  for (const part of facts.spokenOf) add(part, '!');
  for (const { part, leg, high } of facts.currents) add(part, `${leg}~${high === null ? '?' : ''}`);
  return keys;
}

/** Whether a leg is measured to have no voltage, and nothing says otherwise. */
export function deadLegs(facts: Facts): Set<string> {
  const dead = new Set<string>();
  for (const { part, leg, claims } of facts.legs) if (claims === 'dead') dead.add(`${part} ${leg}`);
  for (const { part, leg, claims } of facts.legs) {
    if (claims === 'live') dead.delete(`${part} ${leg}`);
  }
  return dead;
}
