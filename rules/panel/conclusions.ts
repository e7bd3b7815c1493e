/**
 * From the allowed combinations to what is known: for each part its possible positions, the roots
 * that may feed it, and whether each leg is live. Where combinations differ, it is unknown.
 */
import type { LegName } from '../boat/boat.ts';
import { withFittingCurrents } from './currents.ts';
import { factsKey } from './facts.ts';
import type { Facts } from './facts.ts';
import type { Live } from './panel-state.ts';
import { demandKey, searchPositions } from './positions.ts';
import type { Combination, SearchResult } from './positions.ts';
import { isRoot } from './supply.ts';
import type { Supply } from './supply.ts';

export interface Conclusion {
  /** Indexes of the choices that the facts allow; empty for roots. */
  possible: number[];
  /** Roots that may feed it, -1 for none. A root feeds itself. */
  roots: Set<number>;
  live: Map<LegName, Live>;
}

export interface Conclusions {
  parts: Conclusion[];
  /** Groups in which no combination fits the facts. */
  contradictory: number[];
  /** Same value, same conclusions: lets reasons be kept. */
  key: string;
}

/** Keeps the last search of each group, so that a reading that changes no fact costs no search. */
export class PositionMemory {
  readonly #kept = new Map<number, { key: string; result: SearchResult }>();

  search(supply: Supply, facts: Facts, group: number, key: string): SearchResult {
    const kept = this.#kept.get(group);
    if (kept?.key === key) return kept.result;
    const result = searchPositions(supply, facts, group);
    this.#kept.set(group, { key, result });
    return result;
  }
}

function rootLive(facts: Facts, combination: Combination, root: number, leg: LegName): Live {
  return (
    facts.roots.get(root)?.get(leg) ?? combination.demands.get(demandKey(root, leg)) ?? 'unknown'
  );
}

const agree = (states: Iterable<Live>): Live => {
  const seen = new Set(states);
  const [only] = seen;
  return seen.size === 1 && only !== undefined ? only : 'unknown';
};

/** What the combinations say about a part that took part in the search. */
function fromCombinations(
  supply: Supply,
  facts: Facts,
  number: number,
  combinations: Combination[],
): Conclusion {
  const { legs } = supply.parts[number] ?? { legs: [] };
  const live = new Map<LegName, Live>();
  for (const leg of legs) {
    const states = combinations.map((combination): Live => {
      const root = combination.root[number] ?? -1;
      if (root < 0 || !supply.parts[root]?.legs.includes(leg)) return 'dead';
      return rootLive(facts, combination, root, leg);
    });
    live.set(leg, agree(states));
  }
  return {
    possible: [...new Set(combinations.map((own) => own.choice[number] ?? -1))].sort(
      (a, b) => a - b,
    ),
    roots: new Set(combinations.map((own) => own.root[number] ?? -1)),
    live,
  };
}

/** A root's own legs: measured, or demanded by every combination alike. */
function ofRoot(supply: Supply, facts: Facts, number: number, all: Combination[]): Conclusion {
  const { legs } = supply.parts[number] ?? { legs: [] };
  const live = new Map<LegName, Live>();
  for (const leg of legs) {
    const states =
      all.length > 0
        ? all.map((combination) => rootLive(facts, combination, number, leg))
        : [facts.roots.get(number)?.get(leg) ?? ('unknown' as const)];
    live.set(leg, agree(states));
  }
  return { possible: [], roots: new Set([number]), live };
}

/** A part without any fact at or below it: it may stand anywhere; only its upstream tells. */
function ofSilent(supply: Supply, number: number, parts: Conclusion[]): Conclusion {
  const own = supply.parts[number];
  const roots = new Set<number>();
  const live = new Map<LegName, Live>();
  const upstream = (own?.choices ?? []).map(({ from }) => (from === null ? null : parts[from]));
  for (const above of upstream) {
    if (above === null || above === undefined) roots.add(-1);
    else for (const root of above.roots) roots.add(root);
  }
  for (const leg of own?.legs ?? []) {
    const states = upstream.map((above): Live => above?.live.get(leg) ?? 'dead');
    live.set(leg, agree(states));
  }
  return { possible: (own?.choices ?? []).map((_, index) => index), roots, live };
}

/** Everything unknown: what remains of a group whose readings contradict each other. */
function ofContradictory(supply: Supply, facts: Facts, number: number): Conclusion {
  const own = supply.parts[number];
  const measured = (leg: LegName): Live =>
    facts.legs.find((fact) => fact.part === number && fact.leg === leg)?.claims ?? 'unknown';
  return {
    possible: (own?.choices ?? []).map((_, index) => index),
    roots: new Set([-1, ...supply.parts.keys()].filter((at) => at < 0 || isRootAt(supply, at))),
    live: new Map((own?.legs ?? []).map((leg) => [leg, measured(leg)])),
  };
}

const isRootAt = (supply: Supply, number: number): boolean => {
  const own = supply.parts[number];
  return own !== undefined && isRoot(own.part);
};

/** Draws the conclusions from the facts. */
export function conclude(supply: Supply, facts: Facts, memory: PositionMemory): Conclusions {
  const parts: Conclusion[] = [];
  const contradictory: number[] = [];
  const keys: string[] = [];
  const key = factsKey(facts);
  const byGroup = Array.from({ length: supply.groups }, (_, group) => {
    const { combinations, isComplete } = memory.search(supply, facts, group, key);
    const fitting = withFittingCurrents(supply, facts, group, combinations);
    keys.push(fitting.map((own) => combinations.indexOf(own)).join());
    if (combinations.length === 0 && isComplete) contradictory.push(group);
    return { fitting, isTrusted: isComplete && combinations.length > 0 };
  });
  supply.parts.forEach(({ part, group }, number) => {
    const { fitting, isTrusted } = byGroup[group] ?? { fitting: [], isTrusted: false };
    if (isRoot(part)) parts.push(ofRoot(supply, facts, number, isTrusted ? fitting : []));
    else if (!isTrusted) parts.push(ofContradictory(supply, facts, number));
    else if ((fitting[0]?.choice[number] ?? -1) >= 0)
      parts.push(fromCombinations(supply, facts, number, fitting));
    else parts.push(ofSilent(supply, number, parts));
  });
  return { parts, contradictory, key: `${key}#${keys.join(';')}` };
}
