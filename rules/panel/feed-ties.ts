/**
 * Whether what feeds a bus can have changed unseen. Turning a selector breaks the supply before it
 * makes it again, so a tie ends with one dead, doubtful or missing voltage of the bus, and with any
 * change in which sources are live, for that is when transfer relays act. A quick hand, or a relay,
 * can break and make between two readings. So a tie also ends as soon as such a turn would show in
 * nothing else: it holds only while the bus draws enough to be missed by its source, or the other
 * live sources have another voltage; and it ends when current or voltage step as a turn would make
 * them.
 */
import type { Boat, Bus, LegName, Point } from '../boat/boat.ts';
import type { Conclusions } from './conclusions.ts';
import { Drift } from './drift.ts';
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

/** An AC bus whose voltage is measured. */
export interface MeasuredBus {
  /** Of the supply graph, as its group. */
  number: number;
  bus: Bus;
  group: number;
  volts: ReadonlyMap<LegName, Point>;
}

/** What has stood unchanged since it was made. */
export interface Unbroken {
  breaks: number;
  liveSources: string;
}

/** A bus that was known to hang on a root, watched for everything that would end it. */
export interface Tie extends Unbroken {
  root: number;
  /** Volts of the bus above those of its source, by leg. */
  follows: Map<LegName, Drift>;
  /** Amperes of each live source that no bus known to hang on it explains. */
  unexplained: Map<number, Drift>;
}

export class FeedTies {
  readonly buses: readonly MeasuredBus[];
  readonly #boat: Boat;
  readonly #supply: Supply;
  readonly #latest: Latest;
  readonly #rootsOf = new Map<number, number[]>();
  /** Root that each bus is known to hang on, as of the evaluation before. */
  readonly #feeds = new Map<number, number>();
  #facts: Facts | null = null;
  /** What is asked of the facts again and again, by group and by part. */
  readonly #liveSourcesOf = new Map<number, string>();
  readonly #liveLegs = new Map<number, Set<LegName>>();
  readonly #totals = new Map<number, number | null>();

  constructor(boat: Boat, supply: Supply, latest: Latest) {
    this.#boat = boat;
    this.#supply = supply;
    this.#latest = latest;
    supply.parts.forEach(({ part, group }, number) => {
      if (!isRoot(part)) return;
      this.#rootsOf.set(group, [...(this.#rootsOf.get(group) ?? []), number]);
    });
    this.buses = supply.parts.flatMap(({ part, group }, number) => {
      if (part.part !== 'bus' || part.system !== 'ac') return [];
      const volts = new Map<LegName, Point>();
      for (const leg of part.legs) {
        const point = latest.point(part.id, 'volts', leg);
        if (point) volts.set(leg, point);
      }
      return volts.size > 0 ? [{ number, bus: part, group, volts }] : [];
    });
  }

  /** Takes the facts that everything is judged by from now on: first of all in an evaluation. */
  look(facts: Facts): void {
    this.#facts = facts;
    this.#liveSourcesOf.clear();
    this.#liveLegs.clear();
    this.#totals.clear();
    for (const [root, legs] of facts.roots) {
      const group = this.#supply.parts[root]?.group ?? 0;
      let text = this.#liveSourcesOf.get(group) ?? '';
      for (const [leg, live] of legs) text += `${root}${leg}${live};`;
      this.#liveSourcesOf.set(group, text);
    }
    for (const { part, leg, claims } of facts.legs) {
      if (claims !== 'live') continue;
      const own = this.#liveLegs.get(part);
      if (own) own.add(leg);
      else this.#liveLegs.set(part, new Set([leg]));
    }
    for (const { part, high } of facts.currents) {
      const before = this.#totals.get(part);
      const isKnown = high !== null && before !== null;
      this.#totals.set(part, isKnown ? (before ?? 0) + high : null);
    }
  }

  /** Takes note of what feeds each bus, as far as it is known. */
  noteFeeds(conclusions: Conclusions): void {
    this.#feeds.clear();
    for (const { number } of this.buses) {
      const roots = conclusions.parts[number]?.roots;
      const [root] = roots ?? [];
      if (roots?.size === 1 && root !== undefined && root >= 0) this.#feeds.set(number, root);
    }
  }

  /** Root that the bus was known to hang on when feeds were last noted. */
  feedOf(bus: number): number | undefined {
    return this.#feeds.get(bus);
  }

  /** What has to stay as it is from now on; null where the bus is not live and on time. */
  begin(measured: MeasuredBus, nowMs: number): Unbroken | null {
    const own = { breaks: this.#breaks(measured), liveSources: this.liveSources(measured) };
    return this.isUnbroken(measured, own, nowMs) ? own : null;
  }

  /** As `begin`, and with an eye on what a turn away from `root` would show in. */
  tie(measured: MeasuredBus, root: number, nowMs: number): Tie | null {
    const own = this.begin(measured, nowMs);
    return own && { ...own, root, follows: new Map(), unexplained: new Map() };
  }

  /** Whether it still hangs there. Once an evaluation: it learns from what it sees. */
  holds(measured: MeasuredBus, tie: Tie, nowMs: number): boolean {
    return this.keepsDistance(measured, tie, nowMs) && this.#isCarried(measured, tie, nowMs);
  }

  /** Whether its volts have stayed as far from its source's. Once an evaluation, as `holds`. */
  keepsDistance(measured: MeasuredBus, tie: Tie, nowMs: number): boolean {
    return this.isUnbroken(measured, tie, nowMs) && this.#follows(measured, tie, nowMs);
  }

  /** Every voltage of the bus so far was live, moving and on time, and the same sources are live. */
  isUnbroken(measured: MeasuredBus, own: Unbroken, nowMs: number): boolean {
    if (this.#breaks(measured) !== own.breaks) return false;
    if (this.liveSources(measured) !== own.liveSources) return false;
    const live = this.#liveLegs.get(measured.number);
    for (const [leg, point] of measured.volts) {
      const age = this.#latest.ageMs(point, nowMs);
      if (age === null || age > BREAK_INTERVALS * point.expectedEveryMs) return false;
      if (live?.has(leg) !== true || this.#latest.isStill(point)) return false;
    }
    return true;
  }

  /** Which sources of the bus's group are live, as a text that changes when they do. */
  liveSources({ group }: MeasuredBus): string {
    return this.#liveSourcesOf.get(group) ?? '';
  }

  /** The voltage of the bus keeps its distance from that of its source. */
  #follows(measured: MeasuredBus, tie: Tie, nowMs: number): boolean {
    const tolerance = FOLLOW_RATIO * nominalVolts(this.#boat, 'ac');
    for (const [leg, point] of measured.volts) {
      const above = this.#volts(tie.root, leg, nowMs);
      const volts = this.#latest.numberAt(point, nowMs);
      if (above === null || volts === null) return false;
      const distance = volts - above;
      const drift = tie.follows.get(leg);
      if (!drift) tie.follows.set(leg, new Drift(distance));
      else if (Math.abs(drift.take(distance)) > tolerance) return false;
    }
    return true;
  }

  /** Its source still carries it, and a turn away from it would be seen. */
  #isCarried(measured: MeasuredBus, tie: Tie, nowMs: number): boolean {
    const rivals = this.#rivals(tie);
    const drawn = this.#totals.get(measured.number) ?? null;
    if (drawn === null) return rivals.length === 0;
    const step = Math.max(STEP_AMPS, STEP_RATIO * drawn);
    const kept = this.#unexplained(tie, tie.root);
    if (kept === null) return rivals.length === 0;
    let isTakenOver = false;
    for (const rival of rivals) {
      const rise = this.#unexplained(tie, rival);
      if (rise === null) return false;
      if (rise > step) isTakenOver = true;
      if (drawn < SEEN_AMPS && !this.#isApart(tie.root, rival, measured, nowMs)) return false;
    }
    return !(isTakenOver && kept < -step);
  }

  /** Other roots of the group that are not known to be dead. */
  #rivals({ root }: Tie): number[] {
    const roots = this.#rootsOf.get(this.#supply.parts[root]?.group ?? -1) ?? [];
    return roots.filter((number) => {
      const part = this.#supply.parts[number]?.part;
      const legs = this.#facts?.roots.get(number);
      if (number === root || !part || !isRoot(part)) return false;
      return legs === undefined || part.legs.some((leg) => legs.get(leg) !== 'dead');
    });
  }

  /** How far the current of a root that no known bus explains has stepped; null: not measured. */
  #unexplained(tie: Tie, root: number): number | null {
    let total = this.#totals.get(root) ?? null;
    if (total === null) return null;
    for (const [bus, feeder] of this.#feeds) {
      if (feeder === root) total -= this.#totals.get(bus) ?? 0;
    }
    const drift = tie.unexplained.get(root);
    if (drift) return drift.take(total);
    tie.unexplained.set(root, new Drift(total));
    return 0;
  }

  #isApart(root: number, rival: number, { volts }: MeasuredBus, nowMs: number): boolean {
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

  #breaks({ volts }: MeasuredBus): number {
    let breaks = 0;
    for (const point of volts.values()) breaks += this.#latest.breaks(point);
    return breaks;
  }
}
