/**
 * What feeds a bus stays known after the evidence for it has faded, as long as nobody can have
 * turned anything unseen. Turning a selector breaks the supply before it makes it again, so memory
 * ends with one dead, doubtful or missing voltage of the bus, and with any change in which sources
 * are live, for that is when transfer relays act. A quick hand, or a relay, can break and make
 * between two readings. So memory also ends as soon as such a turn would show in nothing else:
 * it lives only while the bus draws enough to be missed by its source, or the other live sources
 * have another voltage; and it ends when current or voltage step as a turn would make them.
 *
 * It is not kept over a restart: nobody watched meanwhile.
 */
import type { Boat, Bus, LegName, Point } from '../boat/boat.ts';
import { Drift } from './drift.ts';
import type { Conclusions, SoftEvidence } from './conclusions.ts';
import type { PartRule } from './agreements.ts';
import type { Facts } from './facts.ts';
import { BREAK_INTERVALS } from './latest.ts';
import type { Latest } from './latest.ts';
import { nominalVolts } from './nominal.ts';
import { isRoot } from './supply.ts';
import type { Supply } from './supply.ts';

/** A bus that draws this much is missed by its source when it is turned away; common practice. */
const SEEN_AMPS = 0.4;
/** A step of current counts from here, and from this share of what the bus draws. */
const STEP_AMPS = 0.25;
const STEP_RATIO = 0.4;
/** Sources whose voltages differ by this share of nominal can be told apart by them. */
const APART_RATIO = 0.01;
/** A bus's voltage follows its source's within this share of nominal. */
const FOLLOW_RATIO = 0.005;

/** One bus with what it is remembered by. */
interface Remembered {
  root: number;
  rules: PartRule[];
  /** When the readings last told it by themselves. */
  toldMs: number;
  breaks: number;
  liveSources: string;
  /** Volts of the bus above those of its source, by leg. */
  follows: Map<LegName, Drift>;
  /** Amperes of each live source that no bus known to hang on it explains. */
  unexplained: Map<number, Drift>;
}

interface Watched {
  number: number;
  bus: Bus;
  group: number;
  volts: Map<LegName, Point>;
}

export class FeedMemory {
  readonly #boat: Boat;
  readonly #supply: Supply;
  readonly #latest: Latest;
  readonly #buses: Watched[];
  readonly #remembered = new Map<number, Remembered>();
  /** Root that each bus is known to hang on, as of the evaluation before. */
  #feeds = new Map<number, number>();

  constructor(boat: Boat, supply: Supply, latest: Latest) {
    this.#boat = boat;
    this.#supply = supply;
    this.#latest = latest;
    this.#buses = supply.parts.flatMap(({ part, group }, number) => {
      if (part.part !== 'bus' || part.system !== 'ac') return [];
      const volts = new Map<LegName, Point>();
      for (const leg of part.legs) {
        const point = latest.point(part.id, 'volts', leg);
        if (point) volts.set(leg, point);
      }
      return volts.size > 0 ? [{ number, bus: part, group, volts }] : [];
    });
  }

  /** Ends what can no longer be relied on, and returns the rest as evidence. */
  recall(facts: Facts, nowMs: number): SoftEvidence[] {
    const found: SoftEvidence[] = [];
    for (const watched of this.#buses) {
      const own = this.#remembered.get(watched.number);
      if (!own) continue;
      if (this.#holds(watched, own, facts, nowMs)) {
        found.push({ name: nameOf(watched.number), footing: 'memory', rules: own.rules });
      } else {
        this.#remembered.delete(watched.number);
      }
    }
    return found;
  }

  /** Takes note of what the readings alone make known, and forgets what they refuse. */
  learn(facts: Facts, conclusions: Conclusions, nowMs: number): void {
    const refused = new Set(conclusions.refused);
    this.#feeds = new Map();
    for (const { number } of this.#buses) {
      const roots = conclusions.parts[number]?.roots;
      const [root] = roots ?? [];
      if (roots?.size === 1 && root !== undefined && root >= 0) this.#feeds.set(number, root);
    }
    for (const watched of this.#buses) {
      const { number } = watched;
      if (refused.has(nameOf(number))) this.#remembered.delete(number);
      const rules = this.#chain(number, conclusions);
      const root = this.#feeds.get(number);
      if (!rules || root === undefined) continue;
      const before = this.#remembered.get(number);
      if (before && before.root === root && sameRules(before.rules, rules)) {
        before.toldMs = nowMs;
        continue;
      }
      const fresh = this.#begin(watched, root, rules, facts, nowMs);
      if (fresh) this.#remembered.set(number, fresh);
    }
  }

  /** Reason behind what rests on a memory, or null where the evidence is another. */
  reason(name: string, nowMs: number): string | null {
    for (const { number, bus } of this.#buses) {
      const own = this.#remembered.get(number);
      if (!own || nameOf(number) !== name) continue;
      const minutes = Math.floor((nowMs - own.toldMs) / 60_000);
      const ago = minutes < 1 ? 'less than a minute' : `${minutes} min`;
      return `The readings told it ${ago} ago, and ${bus.label} has had voltage without a break since.`;
    }
    return null;
  }

  /** Positions of everything between the bus and its root, if the readings alone tell them all. */
  #chain(bus: number, conclusions: Conclusions): PartRule[] | null {
    const rules: PartRule[] = [];
    let at = bus;
    for (;;) {
      const own = this.#supply.parts[at];
      const conclusion = conclusions.parts[at];
      if (!own || isRoot(own.part)) return rules;
      const [choice] = conclusion?.possible ?? [];
      if (conclusion?.possible.length !== 1 || choice === undefined) return null;
      if (conclusion.positionRestsOn !== 'readings') return null;
      const from = own.choices[choice]?.from ?? null;
      if (from === null) return null;
      if (own.part.part !== 'bus') rules.push({ part: at, choices: [choice] });
      at = from;
    }
  }

  #begin(
    watched: Watched,
    root: number,
    rules: PartRule[],
    facts: Facts,
    nowMs: number,
  ): Remembered | null {
    const own: Remembered = {
      root,
      rules,
      toldMs: nowMs,
      breaks: this.#breaks(watched),
      liveSources: this.#liveSources(facts, watched.group),
      follows: new Map(),
      unexplained: new Map(),
    };
    return this.#isUnbroken(watched, own, facts, nowMs) ? own : null;
  }

  #holds(watched: Watched, own: Remembered, facts: Facts, nowMs: number): boolean {
    return (
      this.#isUnbroken(watched, own, facts, nowMs) &&
      this.#follows(watched, own, nowMs) &&
      this.#isCarried(watched, own, facts, nowMs)
    );
  }

  /** Every voltage of the bus so far was live and on time, and the same sources are live. */
  #isUnbroken(watched: Watched, own: Remembered, facts: Facts, nowMs: number): boolean {
    if (this.#breaks(watched) !== own.breaks) return false;
    if (this.#liveSources(facts, watched.group) !== own.liveSources) return false;
    for (const [leg, point] of watched.volts) {
      const age = this.#latest.ageMs(point, nowMs);
      if (age === null || age > BREAK_INTERVALS * point.expectedEveryMs) return false;
      const isLive = facts.legs.some(
        (fact) => fact.part === watched.number && fact.leg === leg && fact.claims === 'live',
      );
      if (!isLive) return false;
    }
    return true;
  }

  /** The voltage of the bus keeps its distance from that of its source. */
  #follows(watched: Watched, own: Remembered, nowMs: number): boolean {
    const tolerance = FOLLOW_RATIO * nominalVolts(this.#boat, 'ac');
    for (const [leg, point] of watched.volts) {
      const above = this.#volts(own.root, leg, nowMs);
      const volts = this.#latest.numberAt(point, nowMs);
      if (above === null || volts === null) return false;
      const distance = volts - above;
      const drift = own.follows.get(leg);
      if (!drift) own.follows.set(leg, new Drift(distance));
      else if (Math.abs(drift.take(distance)) > tolerance) return false;
    }
    return true;
  }

  /** Its source still carries it, and a turn away from it would be seen. */
  #isCarried(watched: Watched, own: Remembered, facts: Facts, nowMs: number): boolean {
    const rivals = this.#rivals(own, facts);
    const drawn = this.#total(facts, watched.number);
    if (drawn === null) return rivals.length === 0;
    const step = Math.max(STEP_AMPS, STEP_RATIO * drawn);
    const kept = this.#unexplained(own, own.root, facts);
    if (kept === null) return rivals.length === 0;
    let isTakenOver = false;
    for (const rival of rivals) {
      const rise = this.#unexplained(own, rival, facts);
      if (rise === null) return false;
      if (rise > step) isTakenOver = true;
      if (drawn < SEEN_AMPS && !this.#isApart(own.root, rival, watched, nowMs)) return false;
    }
    return !(isTakenOver && kept < -step);
  }

  /** Other roots of the group that are not known to be dead. */
  #rivals({ root }: Remembered, facts: Facts): number[] {
    const group = this.#supply.parts[root]?.group;
    return this.#supply.parts.flatMap(({ part, group: own }, number) => {
      if (own !== group || number === root || !isRoot(part)) return [];
      const legs = facts.roots.get(number);
      const isDead = legs !== undefined && part.legs.every((leg) => legs.get(leg) === 'dead');
      return isDead ? [] : [number];
    });
  }

  /** How far the current of a root that no known bus explains has stepped; null: not measured. */
  #unexplained(own: Remembered, root: number, facts: Facts): number | null {
    let total = this.#total(facts, root);
    if (total === null) return null;
    for (const [bus, feeder] of this.#feeds) {
      if (feeder === root) total -= this.#total(facts, bus) ?? 0;
    }
    const drift = own.unexplained.get(root);
    if (drift) return drift.take(total);
    own.unexplained.set(root, new Drift(total));
    return 0;
  }

  /** Amperes of all legs of a part; null unless each is measured. */
  #total(facts: Facts, part: number): number | null {
    let total: number | null = null;
    for (const own of facts.currents) {
      if (own.part !== part) continue;
      if (own.high === null) return null;
      total = (total ?? 0) + own.high;
    }
    return total;
  }

  #isApart(root: number, rival: number, { volts }: Watched, nowMs: number): boolean {
    const least = APART_RATIO * nominalVolts(this.#boat, 'ac');
    return [...volts.keys()].some((leg) => {
      const [one, other] = [this.#volts(root, leg, nowMs), this.#volts(rival, leg, nowMs)];
      return one !== null && other !== null && Math.abs(one - other) >= least;
    });
  }

  #volts(root: number, leg: LegName, nowMs: number): number | null {
    const id = this.#supply.parts[root]?.part.id;
    const point = id === undefined ? undefined : this.#latest.point(id, 'volts', leg);
    return point ? this.#latest.numberAt(point, nowMs) : null;
  }

  #breaks({ volts }: Watched): number {
    let breaks = 0;
    for (const point of volts.values()) breaks += this.#latest.breaks(point);
    return breaks;
  }

  #liveSources(facts: Facts, group: number): string {
    let text = '';
    for (const [root, legs] of facts.roots) {
      if (this.#supply.parts[root]?.group !== group) continue;
      for (const [leg, live] of legs) text += `${root}${leg}${live};`;
    }
    return text;
  }
}

const nameOf = (bus: number): string => `memory ${bus}`;

const sameRules = (a: readonly PartRule[], b: readonly PartRule[]): boolean =>
  a.length === b.length &&
  a.every((rule, i) => rule.part === b[i]?.part && rule.choices?.[0] === b[i].choices?.[0]);
