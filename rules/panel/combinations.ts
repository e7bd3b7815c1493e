/**
 * Every combination of selector and main-switch positions that the facts of one group allow, all at
 * once: a diagram with one layer a part. Where two combinations differ only in what no later part
 * can see, they are one state of the diagram, so that independent switches add up and never
 * multiply. What all combinations agree on is read off its edges; it is exact.
 */
import type { LegName } from '../boat/boat.ts';
import type { Facts, LegFact } from './facts.ts';
import { orderedParts } from './order.ts';
import type { Supply } from './supply.ts';

/** No root: nothing feeds the part. */
export const NOTHING = -1;
/** A part of a state that no later part can see. */
export const FORGOTTEN = -2;

/** What combinations want of a leg of a root that has no voltmeter, as bits of a set. */
export const UNASKED = 1;
export const LIVE = 2;
export const DEAD = 4;

/** One layer: every step from a state before its part to a state after it. */
interface Layer {
  part: number;
  before: Uint32Array;
  after: Uint32Array;
  choice: Int16Array;
  root: Int16Array;
}

/** A leg of a root without a voltage reading that some fact may ask about. */
export interface OpenLeg {
  root: number;
  leg: LegName;
}

export interface Diagram {
  layers: Layer[];
  openLegs: OpenLeg[];
  /** States before the first part and after each part. */
  counts: number[];
  finals: FinalState[];
  /** Parts whose roots the final states tell. */
  tracked: readonly number[];
}

export interface FinalState {
  /** Root of each tracked part; -2 for a part that nothing is known about. */
  roots: readonly number[];
  /** What it wants of each open leg. */
  wants: readonly number[];
}

export interface BuildOptions {
  /** Parts whose roots the final states tell, in one order. */
  tracked?: readonly number[];
  /** Give up beyond so many states in one layer. */
  widest?: number;
}

const WIDEST = 20_000;

/** Open legs that facts of the group can ask about. */
function openLegsOf(supply: Supply, facts: Facts, group: number): OpenLeg[] {
  const asked = new Set(
    facts.legs.filter((own) => supply.parts[own.part]?.group === group).map((own) => own.leg),
  );
  return supply.parts.flatMap(({ part, legs, group: own }, root) => {
    if (own !== group || (part.part !== 'source' && part.part !== 'battery')) return [];
    const measured = facts.roots.get(root);
    return legs
      .filter((leg) => asked.has(leg) && !measured?.has(leg))
      .map((leg): OpenLeg => ({ root, leg }));
  });
}

class Builder {
  readonly #supply: Supply;
  readonly #facts: Facts;
  readonly #order: readonly number[];
  readonly #slotOf = new Map<number, number>();
  readonly #factsAt = new Map<number, LegFact[]>();
  readonly #openLegs: OpenLeg[];
  readonly #options: BuildOptions;
  /** Slots that nobody looks at after a layer. */
  readonly #forget: number[][];

  constructor(supply: Supply, facts: Facts, group: number, options: BuildOptions) {
    this.#supply = supply;
    this.#facts = facts;
    this.#options = options;
    this.#order = orderedParts(supply, facts, group);
    this.#order.forEach((part, slot) => this.#slotOf.set(part, slot));
    this.#openLegs = openLegsOf(supply, facts, group);
    const seen = new Set<string>();
    for (const fact of facts.legs) {
      // Many readings may claim the same; once is enough here.
      const key = `${fact.part} ${fact.leg} ${fact.claims}`;
      if (seen.has(key)) continue;
      seen.add(key);
      const own = this.#factsAt.get(fact.part);
      if (own) own.push(fact);
      else this.#factsAt.set(fact.part, [fact]);
    }
    this.#forget = this.#forgetting();
  }

  /** The diagram, or null where it would be wider than allowed. */
  build(): Diagram | null {
    const { tracked = [], widest = WIDEST } = this.#options;
    const length = this.#order.length + this.#openLegs.length;
    const start = new Int16Array(length).fill(FORGOTTEN);
    start.fill(UNASKED, this.#order.length);
    let states: Int16Array[] = [start];
    const layers: Layer[] = [];
    const counts = [1];
    for (const [slot, part] of this.#order.entries()) {
      const next = this.#step(slot, part, states, widest);
      if (next === null) return null;
      layers.push(next.layer);
      states = next.states;
      counts.push(states.length);
    }
    const slots = tracked.map((part) => this.#slotOf.get(part) ?? -1);
    const finals = states.map((state): FinalState => ({
      roots: slots.map((slot) => state[slot] ?? FORGOTTEN),
      wants: [...state.subarray(this.#order.length)],
    }));
    return { layers, openLegs: this.#openLegs, counts, finals, tracked };
  }

  #step(
    slot: number,
    part: number,
    states: readonly Int16Array[],
    widest: number,
  ): { layer: Layer; states: Int16Array[] } | null {
    const before: number[] = [];
    const after: number[] = [];
    const choices: number[] = [];
    const roots: number[] = [];
    const known = new Map<string, number>();
    const found: Int16Array[] = [];
    const allowed = this.#allowed(part);
    for (const [index, state] of states.entries()) {
      for (const { choice, from } of allowed) {
        const root = from === null ? NOTHING : (this.#slotRoot(state, from) ?? NOTHING);
        const next = this.#place(state, slot, part, root);
        if (next === null) continue;
        const key = String.fromCharCode(...next.map((value) => value + 2));
        let at = known.get(key);
        if (at === undefined) {
          at = found.length;
          if (at >= widest) return null;
          known.set(key, at);
          found.push(next);
        }
        before.push(index);
        after.push(at);
        choices.push(choice);
        roots.push(root);
      }
    }
    const layer: Layer = {
      part,
      before: Uint32Array.from(before),
      after: Uint32Array.from(after),
      choice: Int16Array.from(choices),
      root: Int16Array.from(roots),
    };
    return { layer, states: found };
  }

  #slotRoot(state: Int16Array, from: number): number | undefined {
    const slot = this.#slotOf.get(from);
    return slot === undefined ? from : state[slot];
  }

  #allowed(part: number): { choice: number; from: number | null }[] {
    const reported = this.#facts.reported.get(part);
    return (this.#supply.parts[part]?.choices ?? []).flatMap(({ name, from }, choice) => {
      return reported !== undefined && reported !== name ? [] : [{ choice, from }];
    });
  }

  /** The state after `part` is fed by `root`; null where a fact at the part contradicts it. */
  #place(state: Int16Array, slot: number, part: number, root: number): Int16Array | null {
    const next = state.slice();
    const legs = root < 0 ? undefined : this.#supply.parts[root]?.legs;
    for (const { leg, claims } of this.#factsAt.get(part) ?? []) {
      if (!legs?.includes(leg)) {
        if (claims === 'live') return null;
        continue;
      }
      const measured = this.#facts.roots.get(root)?.get(leg);
      if (measured) {
        if (measured !== claims) return null;
        continue;
      }
      // The root's leg has no voltmeter: it may be either, but only one of them.
      const open = this.#openLegs.findIndex((own) => own.root === root && own.leg === leg);
      const at = this.#order.length + open;
      const want = claims === 'live' ? LIVE : DEAD;
      if (next[at] !== UNASKED && next[at] !== want) return null;
      next[at] = want;
    }
    next[slot] = root;
    for (const gone of this.#forget[slot] ?? []) next[gone] = FORGOTTEN;
    return next;
  }

  /** After each layer, the slots of parts that feed none of the parts still to come. */
  #forgetting(): number[][] {
    const last = this.#order.map((_, slot) => slot);
    this.#order.forEach((part, slot) => {
      for (const { from } of this.#supply.parts[part]?.choices ?? []) {
        const above = from === null ? undefined : this.#slotOf.get(from);
        if (above !== undefined) last[above] = Math.max(last[above] ?? 0, slot);
      }
    });
    const kept = new Set(this.#options.tracked);
    const forget: number[][] = this.#order.map(() => []);
    last.forEach((at, slot) => {
      if (!kept.has(this.#order[slot] ?? -1)) forget[at]?.push(slot);
    });
    return forget;
  }
}

/**
 * All combinations of one group's parts that contradict no fact. Null where the diagram would be
 * too wide, which a boat's wiring does not bring about; then nothing is known of the group.
 */
export function allCombinations(
  supply: Supply,
  facts: Facts,
  group: number,
  options: BuildOptions = {},
): Diagram | null {
  return new Builder(supply, facts, group, options).build();
}
