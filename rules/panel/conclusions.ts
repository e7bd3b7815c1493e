/**
 * From the allowed combinations to what is known: for each part its possible positions, the roots
 * that may feed it, and whether each leg is live. Where combinations differ, it is unknown.
 */
import type { LegName } from '../boat/boat.ts';
import {
  DEAD,
  LIVE,
  NOTHING,
  UNASKED,
  agreements,
  allCombinations,
  finalsOf,
} from './combinations.ts';
import type { Agreed, Diagram, PartRule } from './combinations.ts';
import { CurrentTest, MOST_FINALS, currentParts, fittingFinals } from './currents.ts';
import { factsKeys } from './facts.ts';
import type { Facts } from './facts.ts';
import type { Live } from './panel-state.ts';
import { isRoot } from './supply.ts';
import type { Supply } from './supply.ts';

/** What a conclusion rests on, strongest first. */
export type Footing = 'readings' | 'statement' | 'memory';

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

export interface Conclusions {
  parts: Conclusion[];
  /** Groups in which no combination fits the facts. */
  contradictory: number[];
  /** Same value, same conclusions: lets reasons be kept. */
  key: string;
  /** Soft evidence that no allowed combination meets, by its name. */
  refused: string[];
}

/** Evidence that chooses between the allowed combinations, and counts only where it leaves some. */
export interface SoftEvidence {
  /** Unique; says where it comes from. */
  name: string;
  footing: Footing;
  rules: readonly PartRule[];
}

/** What is agreed once this evidence and all before it has been counted. */
interface Stage {
  footing: Footing;
  by: string | null;
  agreed: Agreed;
}

/** What the combinations of one group say. */
interface GroupView {
  /** Null where the readings contradict each other, or are too many to tell. */
  stages: Stage[] | null;
  isContradictory: boolean;
  refused: string[];
  openLegs: Diagram['openLegs'];
  key: string;
}

/** Works out one group, and does so again only when something that matters to it has changed. */
class GroupSolver {
  readonly #supply: Supply;
  readonly #group: number;
  #factsKey: string | null = null;
  #diagram: Diagram | null = null;
  #viewKey = '';
  #view: GroupView | null = null;
  #conclusions: Map<number, Conclusion> | null = null;

  constructor(supply: Supply, group: number) {
    this.#supply = supply;
    this.#group = group;
  }

  /** Why the currents exclude every combination in which `part` stands on `choice`, or null. */
  whyByCurrents(facts: Facts, part: number, choice: number): string | null {
    const diagram = this.#diagram;
    if (!diagram) return null;
    const test = new CurrentTest(this.#supply, facts, this.#group, diagram);
    for (const at of finalsOf(diagram, [{ part, choices: [choice] }])) {
      const [conflict] = test.conflicts(diagram.finals[at]?.roots ?? []);
      if (conflict) return conflict.text;
    }
    return null;
  }

  /** `key`: same value, same facts but for the amperes. */
  solve(facts: Facts, key: string, soft: readonly SoftEvidence[]): GroupView {
    const supply = this.#supply;
    if (key !== this.#factsKey) {
      this.#factsKey = key;
      this.#diagram = buildDiagram(supply, facts, this.#group);
      this.#view = null;
    }
    const diagram = this.#diagram;
    const kept = diagram ? fittingFinals(supply, facts, this.#group, diagram) : [];
    const viewKey = `${kept.every((own) => own) ? '' : kept.map(Number).join('')}/${softKey(soft)}`;
    if (this.#view && viewKey === this.#viewKey) return this.#view;
    this.#viewKey = viewKey;
    this.#view = diagram ? viewOf(diagram, kept, soft) : blind();
    this.#view.key = `${key}#${viewKey}`;
    this.#conclusions = null;
    return this.#view;
  }

  /** The conclusions about the parts of the group, by number. `parts`: of the parts above. */
  conclusions(facts: Facts): Map<number, Conclusion> {
    if (!this.#conclusions && this.#view) {
      this.#conclusions = concludeGroup(this.#supply, facts, this.#group, this.#view);
    }
    return this.#conclusions ?? new Map();
  }
}

const softKey = (soft: readonly SoftEvidence[]): string =>
  soft
    .map(
      ({ name, rules }) =>
        `${name}:${rules.map((rule) => `${rule.part}=${(rule.choices ?? rule.roots ?? []).join()}`).join('+')}`,
    )
    .join('|');

function buildDiagram(supply: Supply, facts: Facts, group: number): Diagram | null {
  const tracked = currentParts(supply, facts, group);
  const withCurrents = allCombinations(supply, facts, group, { tracked, widest: MOST_FINALS });
  return withCurrents ?? allCombinations(supply, facts, group);
}

const blind = (): GroupView => ({
  stages: null,
  isContradictory: false,
  refused: [],
  openLegs: [],
  key: '',
});

/** Adds the soft evidence piece by piece; a piece that would leave no combination is refused. */
function viewOf(
  diagram: Diagram,
  kept: readonly boolean[],
  soft: readonly SoftEvidence[],
): GroupView {
  const { openLegs } = diagram;
  const isKept = (final: number): boolean => kept[final] ?? false;
  const first = agreements(diagram, { isKept });
  if (!first) return { ...blind(), isContradictory: true, openLegs };
  const stages: Stage[] = [{ footing: 'readings', by: null, agreed: first }];
  const refused: string[] = [];
  const rules: PartRule[] = [];
  for (const own of soft) {
    const agreed = agreements(diagram, { isKept, rules: rules.concat(own.rules) });
    if (!agreed) {
      refused.push(own.name);
      continue;
    }
    rules.push(...own.rules);
    stages.push({ footing: own.footing, by: own.name, agreed });
  }
  return { stages, isContradictory: false, refused, openLegs, key: '' };
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

function concludeGroup(
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

/** Draws conclusions from facts; keeps what it found until a fact changes. */
export class Reasoner {
  readonly #supply: Supply;
  readonly #solvers: GroupSolver[];

  constructor(supply: Supply) {
    this.#supply = supply;
    this.#solvers = Array.from(
      { length: supply.groups },
      (_, group) => new GroupSolver(supply, group),
    );
  }

  /** `soft`: in order of strength. */
  conclude(facts: Facts, soft: readonly SoftEvidence[] = []): Conclusions {
    const contradictory: number[] = [];
    const refused: string[] = [];
    const keys: string[] = [];
    const parts: Conclusion[] = [];
    const factsKeyOf = factsKeys(this.#supply, facts);
    this.#solvers.forEach((solver, group) => {
      const own = soft.filter(({ rules }) =>
        rules.some((rule) => this.#supply.parts[rule.part]?.group === group),
      );
      const view = solver.solve(facts, factsKeyOf[group] ?? '', own);
      if (view.isContradictory) contradictory.push(group);
      refused.push(...view.refused);
      keys.push(view.key);
      for (const [number, conclusion] of solver.conclusions(facts)) parts[number] = conclusion;
    });
    return { parts, contradictory, key: keys.join('\n'), refused };
  }

  /** Why the currents exclude that `part` stands on `choice`, as a half sentence, or null. */
  whyByCurrents(facts: Facts, part: number, choice: number): string | null {
    const group = this.#supply.parts[part]?.group ?? 0;
    return this.#solvers[group]?.whyByCurrents(facts, part, choice) ?? null;
  }
}

/** Conclusions from the facts alone, without a memory of earlier ones. */
export const concludeOnce = (supply: Supply, facts: Facts): Conclusions =>
  new Reasoner(supply).conclude(facts);
