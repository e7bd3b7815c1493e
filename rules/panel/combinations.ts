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

/** What the allowed combinations say of one part. */
export interface Agreement {
  choices: Set<number>;
  roots: Set<number>;
  /** For each open leg, what combinations in which its root feeds this part want of it. */
  wants: Map<number, number>;
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

/** Which of a diagram's combinations count. */
export interface Choosing {
  /** By number of the final state; absent: all. */
  isKept?: (final: number) => boolean;
  /** What must hold at a part; absent: anything. */
  rules?: readonly PartRule[];
}

/** Soft evidence about one part: it stands on one of these choices, or is fed by one of these roots. */
export interface PartRule {
  part: number;
  choices?: readonly number[];
  roots?: readonly number[];
}

export interface Agreed {
  parts: Map<number, Agreement>;
  /** What the combinations want of each open leg. */
  open: number[];
}

const meets = (rules: readonly PartRule[], choice: number, root: number): boolean =>
  rules.every(
    (rule) => (rule.choices?.includes(choice) ?? true) && (rule.roots?.includes(root) ?? true),
  );

/** What the chosen combinations agree on, part by part; null where none is left. */
export function agreements(diagram: Diagram, choosing: Choosing = {}): Agreed | null {
  const { layers, openLegs, counts, finals } = diagram;
  const width = openLegs.length;
  const edges = allowedEdges(diagram, choosing.rules ?? []);
  let isAlive = Uint8Array.from(finals, (_, at) => ((choosing.isKept?.(at) ?? true) ? 1 : 0));
  let wants = Uint8Array.from(finals.flatMap((own) => own.wants));
  const parts = new Map<number, Agreement>();
  for (let at = layers.length - 1; at >= 0; at--) {
    const layer = layers[at];
    if (!layer) continue;
    const before = counts[at] ?? 0;
    const aliveBefore = new Uint8Array(before);
    const wantsBefore = new Uint8Array(before * width);
    const own: Agreement = { choices: new Set(), roots: new Set(), wants: new Map() };
    for (const edge of edges[at] ?? []) {
      const from = layer.before[edge] ?? 0;
      const to = layer.after[edge] ?? 0;
      if (isAlive[to] !== 1) continue;
      const root = layer.root[edge] ?? NOTHING;
      aliveBefore[from] = 1;
      own.choices.add(layer.choice[edge] ?? 0);
      own.roots.add(root);
      for (let open = 0; open < width; open++) {
        const bits = wants[to * width + open] ?? 0;
        wantsBefore[from * width + open] = (wantsBefore[from * width + open] ?? 0) | bits;
        if (openLegs[open]?.root === root) own.wants.set(open, (own.wants.get(open) ?? 0) | bits);
      }
    }
    parts.set(layer.part, own);
    isAlive = aliveBefore;
    wants = wantsBefore;
  }
  if (isAlive[0] !== 1) return null;
  return { parts, open: openLegs.map((_, open) => wants[open] ?? 0) };
}

/** Numbers of the steps of each layer that can be reached and that meet the rules. */
function allowedEdges({ layers, counts }: Diagram, rules: readonly PartRule[]): number[][] {
  let reached = Uint8Array.of(1);
  return layers.map((layer, at) => {
    const own = rules.filter((rule) => rule.part === layer.part);
    const next = new Uint8Array(counts[at + 1] ?? 0);
    const edges: number[] = [];
    for (let edge = 0; edge < layer.before.length; edge++) {
      if (reached[layer.before[edge] ?? 0] !== 1) continue;
      if (!meets(own, layer.choice[edge] ?? 0, layer.root[edge] ?? NOTHING)) continue;
      next[layer.after[edge] ?? 0] = 1;
      edges.push(edge);
    }
    reached = next;
    return edges;
  });
}

/** Final states that combinations meeting the rules end in. */
export function finalsOf(diagram: Diagram, rules: readonly PartRule[]): number[] {
  const last = diagram.layers.at(-1);
  if (!last) return [0];
  const edges = allowedEdges(diagram, rules).at(-1) ?? [];
  return [...new Set(edges.map((edge) => last.after[edge] ?? 0))];
}
