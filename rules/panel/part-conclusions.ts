/**
 * What the stages of one group say of each of its parts: possible positions, the roots that may
 * feed it, whether each leg is live, and what that rests on.
 */
import type { LegName } from '../boat/boat.ts';
import type { Agreed } from './agreements.ts';
import { DEAD, LIVE, NOTHING, UNASKED } from './combinations.ts';
import type { Diagram } from './combinations.ts';
import type { Facts } from './facts.ts';
import type { Live } from './panel-state.ts';
import { isRoot } from './supply.ts';
import type { Supply } from './supply.ts';

/**
 * What a conclusion rests on, strongest first. `movement`: readings that move together, `distance`:
 * voltages too far apart, see `evidence/`.
 */
export type Footing = 'readings' | 'movement' | 'distance' | 'statement' | 'memory';

export interface Conclusion {
  /** Indexes of the choices that are allowed; empty for roots. */
  possible: number[];
  /** Roots that may feed it, -1 for none. A root feeds itself. */
  roots: Set<number>;
  live: Map<LegName, Live>;
  /** What it needs for the one position, or the one root, that is left. */
  positionRestsOn: Footing;
  feedRestsOn: Footing;
  /** Name of the soft evidence that settled it; null: the readings by themselves. */
  positionBy: string | null;
  feedBy: string | null;
}

/** What is agreed once this evidence and all before it has been counted. */
export interface Stage {
  footing: Footing;
  by: string | null;
  agreed: Agreed;
}

/** What the combinations of one group say. */
export interface GroupView {
  /** Null where the readings contradict each other, or are too many to tell. */
  stages: Stage[] | null;
  isContradictory: boolean;
  refused: string[];
  openLegs: Diagram['openLegs'];
  key: string;
}

/** What a set of wants says of a leg that no voltmeter measures. */
function liveByWants(bits: number): Live {
  if (bits === LIVE) return 'live';
  return bits === DEAD ? 'dead' : 'unknown';
}

/** `live`, `dead` or `unknown` where not all agree. */
const agree = (states: readonly Live[]): Live => {
  const [first] = states;
  return first !== undefined && states.every((own) => own === first) ? first : 'unknown';
};

/** Whether a leg of a part is live in all combinations of a stage. */
function legLive(
  supply: Supply,
  facts: Facts,
  { openLegs }: GroupView,
  own: { roots: Iterable<number>; wants: ReadonlyMap<number, number> },
  leg: LegName,
): Live {
  return agree(
    [...own.roots].map((root): Live => {
      if (root === NOTHING || !supply.parts[root]?.legs.includes(leg)) return 'dead';
      const measured = facts.roots.get(root)?.get(leg);
      if (measured) return measured;
      const open = openLegs.findIndex((one) => one.root === root && one.leg === leg);
      return liveByWants(own.wants.get(open) ?? UNASKED);
    }),
  );
}

/**
 * A part that took part in the search. Whether it is live is for the readings to say: a word or a
 * memory may add that a leg is live, never that one is dead.
 */
function ofSpeaking(supply: Supply, facts: Facts, number: number, view: GroupView): Conclusion {
  const stages = (view.stages ?? []).flatMap(({ footing, by, agreed }) => {
    const own = agreed.parts.get(number);
    return own ? [{ footing, by, own }] : [];
  });
  const positionStage = stages.find(({ own }) => own.choices.size === 1);
  const feedStage = stages.find(({ own }) => own.roots.size === 1);
  const first = stages[0]?.own;
  const last = stages.at(-1)?.own;
  const live = new Map<LegName, Live>();
  for (const leg of supply.parts[number]?.legs ?? []) {
    const byReadings = first ? legLive(supply, facts, view, first, leg) : 'unknown';
    const byAll = last ? legLive(supply, facts, view, last, leg) : 'unknown';
    live.set(leg, byReadings === 'unknown' && byAll === 'live' ? 'live' : byReadings);
  }
  return {
    possible: [...(last?.choices ?? [])].sort((a, b) => a - b),
    roots: new Set(last?.roots),
    live,
    positionRestsOn: positionStage?.footing ?? 'readings',
    feedRestsOn: feedStage?.footing ?? 'readings',
    positionBy: positionStage?.by ?? null,
    feedBy: feedStage?.by ?? null,
  };
}

/** A root's own legs: measured, or wanted so by every combination alike. */
function ofRoot(supply: Supply, facts: Facts, number: number, view: GroupView): Conclusion {
  const live = new Map<LegName, Live>();
  const open = view.stages?.[0]?.agreed.open ?? [];
  for (const leg of supply.parts[number]?.legs ?? []) {
    const at = view.openLegs.findIndex((own) => own.root === number && own.leg === leg);
    const measured = facts.roots.get(number)?.get(leg);
    live.set(leg, measured ?? liveByWants(open[at] ?? UNASKED));
  }
  return { possible: [], roots: new Set([number]), live, ...ON_READINGS };
}

const ON_READINGS = {
  positionRestsOn: 'readings',
  feedRestsOn: 'readings',
  positionBy: null,
  feedBy: null,
} as const;

/** A part without any fact at or below it: it may stand anywhere; only its upstream tells. */
function ofSilent(
  supply: Supply,
  number: number,
  conclusionOf: (part: number) => Conclusion | undefined,
): Conclusion {
  const own = supply.parts[number];
  const roots = new Set<number>();
  const live = new Map<LegName, Live>();
  const upstream = (own?.choices ?? []).map(({ from }) =>
    from === null ? undefined : conclusionOf(from),
  );
  for (const above of upstream) {
    if (above === undefined) roots.add(NOTHING);
    else for (const root of above.roots) roots.add(root);
  }
  for (const leg of own?.legs ?? []) {
    live.set(leg, agree(upstream.map((above): Live => above?.live.get(leg) ?? 'dead')));
  }
  const [only] = upstream;
  const feed = upstream.length === 1 && only ? only : ON_READINGS;
  const possible = (own?.choices ?? []).map((_, index) => index);
  const { feedRestsOn, feedBy } = feed;
  return { ...ON_READINGS, possible, roots, live, feedRestsOn, feedBy };
}

/** Everything unknown: what remains of a group whose readings contradict each other. */
function ofContradictory(supply: Supply, facts: Facts, number: number): Conclusion {
  const own = supply.parts[number];
  const measured = (leg: LegName): Live =>
    facts.legs.find((fact) => fact.part === number && fact.leg === leg)?.claims ?? 'unknown';
  const roots = supply.parts.flatMap(({ part }, at) => (isRoot(part) ? [at] : []));
  return {
    possible: (own?.choices ?? []).map((_, index) => index),
    roots: new Set([NOTHING, ...roots]),
    live: new Map((own?.legs ?? []).map((leg) => [leg, measured(leg)])),
    ...ON_READINGS,
  };
}

export function concludeGroup(
  supply: Supply,
  facts: Facts,
  group: number,
  view: GroupView,
): Map<number, Conclusion> {
  const found = new Map<number, Conclusion>();
  const speaking = view.stages?.[0]?.agreed.parts;
  supply.parts.forEach(({ part, group: own }, number) => {
    if (own !== group) return;
    const conclusion = isRoot(part)
      ? ofRoot(supply, facts, number, view)
      : !speaking
        ? ofContradictory(supply, facts, number)
        : speaking.has(number)
          ? ofSpeaking(supply, facts, number, view)
          : ofSilent(supply, number, (at) => found.get(at));
    found.set(number, conclusion);
  });
  return found;
}
