/**
 * Every combination of selector and main-switch positions that the facts allow, found by a search
 * that gives up a branch at the first contradiction. What all combinations agree on is known.
 */
import type { LegName } from '../boat/boat.ts';
import type { Facts, LegFact } from './facts.ts';
import { isRoot } from './supply.ts';
import type { Supply } from './supply.ts';

/** One allowed combination, by part number. Only parts that something is known about take part. */
export interface Combination {
  /** Index into the part's choices; -1 for roots and parts that take no part. */
  choice: Int16Array;
  /** Number of the root that feeds the part; -1 for none. */
  root: Int16Array;
  /** Legs of roots without a voltage reading that this combination needs live or dead. */
  demands: Map<string, 'live' | 'dead'>;
  /** Facts this combination contradicts; empty unless contradictions were asked for. */
  violated: LegFact[];
}

export interface SearchOptions {
  /** Combinations may contradict so many facts; 0 for the truth as far as it is known. */
  tolerance?: number;
  /** Stand this part on this choice. */
  fixed?: { part: number; choice: number };
  /** Stop after so many combinations. */
  limit?: number;
  /** Give up after so many steps. */
  steps?: number;
}

export interface SearchResult {
  combinations: Combination[];
  /** False when the search was given up: what was found is not all there is. */
  isComplete: boolean;
}

export const demandKey = (root: number, leg: LegName): string => `${root} ${leg}`;

/** Supplied parts of `group` that carry facts or feed such parts: the others cannot be told apart. */
export function speakingParts(supply: Supply, facts: Facts, group: number): number[] {
  const speaks = new Set<number>([
    ...facts.legs.map((fact) => fact.part),
    ...facts.reported.keys(),
    ...facts.currents.filter((fact) => fact.high !== null).map((fact) => fact.part),
  ]);
  for (let number = supply.parts.length - 1; number >= 0; number--) {
    const own = supply.parts[number];
    if (!own || !speaks.has(number)) continue;
    for (const { from } of own.choices) if (from !== null) speaks.add(from);
  }
  return supply.parts.flatMap((own, number) =>
    own.group === group && !isRoot(own.part) && speaks.has(number) ? [number] : [],
  );
}

class Search {
  readonly #supply: Supply;
  readonly #facts: Facts;
  readonly #order: number[];
  readonly #factsAt = new Map<number, LegFact[]>();
  readonly #options: Required<Omit<SearchOptions, 'fixed'>> & Pick<SearchOptions, 'fixed'>;
  readonly #choice: Int16Array;
  readonly #root: Int16Array;
  readonly #demands = new Map<string, { live: number; dead: number }>();
  readonly #violated: LegFact[] = [];
  readonly found: Combination[] = [];
  isComplete = true;
  #steps = 0;

  constructor(supply: Supply, facts: Facts, group: number, options: SearchOptions) {
    this.#supply = supply;
    this.#facts = facts;
    this.#order = speakingParts(supply, facts, group);
    this.#options = { tolerance: 0, limit: 20_000, steps: 200_000, ...options };
    for (const fact of facts.legs) {
      const own = this.#factsAt.get(fact.part);
      if (own) own.push(fact);
      else this.#factsAt.set(fact.part, [fact]);
    }
    this.#choice = new Int16Array(supply.parts.length).fill(-1);
    this.#root = new Int16Array(supply.parts.length).fill(-1);
    supply.parts.forEach(({ part }, number) => {
      if (isRoot(part)) this.#root[number] = number;
    });
  }

  run(): SearchResult {
    this.#place(0, 0);
    return { combinations: this.found, isComplete: this.isComplete };
  }

  #place(at: number, cost: number): void {
    if (this.found.length >= this.#options.limit || ++this.#steps > this.#options.steps) {
      this.isComplete = false;
      return;
    }
    const number = this.#order[at];
    if (number === undefined) {
      this.#keep();
      return;
    }
    const { choices } = this.#supply.parts[number] ?? { choices: [] };
    const { fixed } = this.#options;
    const reported = this.#facts.reported.get(number);
    choices.forEach(({ name, from }, index) => {
      if (fixed?.part === number && fixed.choice !== index) return;
      const isContradicted = reported !== undefined && reported !== name;
      if (isContradicted && fixed?.part !== number) return;
      this.#choice[number] = index;
      this.#root[number] = from === null ? -1 : (this.#root[from] ?? -1);
      this.#check(number, cost, (next) => this.#place(at + 1, next));
    });
    this.#choice[number] = -1;
  }

  /** Counts the facts at `number` that now fail, goes on if they are few enough, and takes it back. */
  #check(number: number, cost: number, goOn: (cost: number) => void): void {
    const before = this.#violated.length;
    const demanded: { own: { live: number; dead: number }; claims: 'live' | 'dead' }[] = [];
    let next = cost;
    for (const fact of this.#factsAt.get(number) ?? []) {
      const holds = this.#holds(fact, demanded);
      if (holds) continue;
      next += 1;
      this.#violated.push(fact);
      if (next > this.#options.tolerance) break;
    }
    if (next <= this.#options.tolerance) goOn(next);
    this.#violated.length = before;
    for (const { own, claims } of demanded) own[claims] -= 1;
  }

  #holds(
    fact: LegFact,
    demanded: { own: { live: number; dead: number }; claims: 'live' | 'dead' }[],
  ): boolean {
    const root = this.#root[fact.part] ?? -1;
    const legs = root < 0 ? undefined : this.#supply.parts[root]?.legs;
    if (!legs?.includes(fact.leg)) return fact.claims === 'dead';
    const measured = this.#facts.roots.get(root)?.get(fact.leg);
    if (measured) return measured === fact.claims;
    // The root's leg has no voltmeter: it may be either, but only one of them.
    const key = demandKey(root, fact.leg);
    let own = this.#demands.get(key);
    if (!own) this.#demands.set(key, (own = { live: 0, dead: 0 }));
    if (own[fact.claims === 'live' ? 'dead' : 'live'] > 0) return false;
    own[fact.claims] += 1;
    demanded.push({ own, claims: fact.claims });
    return true;
  }

  #keep(): void {
    const demands = new Map<string, 'live' | 'dead'>();
    for (const [key, { live, dead }] of this.#demands) {
      if (live > 0) demands.set(key, 'live');
      else if (dead > 0) demands.set(key, 'dead');
    }
    this.found.push({
      choice: this.#choice.slice(),
      root: this.#root.slice(),
      demands,
      violated: this.#violated.slice(),
    });
  }
}

/** All combinations of one group of parts that contradict at most `tolerance` facts. */
export function searchPositions(
  supply: Supply,
  facts: Facts,
  group: number,
  options: SearchOptions = {},
): SearchResult {
  return new Search(supply, facts, group, options).run();
}
