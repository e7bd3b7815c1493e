/**
 * Works out one group of parts that can influence each other: builds the diagram of its
 * combinations from the facts, lets the currents choose, and adds soft evidence piece by piece.
 */
import { agreements, finalsOf } from './agreements.ts';
import type { PartRule } from './agreements.ts';
import { allCombinations } from './combinations.ts';
import type { Diagram } from './combinations.ts';
import { CurrentTest, MOST_FINALS, currentParts, fittingFinals } from './currents.ts';
import type { Facts } from './facts.ts';
import { concludeGroup } from './part-conclusions.ts';
import type { Conclusion, Footing, GroupView, Stage } from './part-conclusions.ts';
import type { Supply } from './supply.ts';

/** Evidence that chooses between the allowed combinations, and counts only where it leaves some. */
export interface SoftEvidence {
  /** Unique; says where it comes from. */
  name: string;
  footing: Footing;
  rules: readonly PartRule[];
}

/** Works out one group, and does so again only when something that matters to it has changed. */
export class GroupSolver {
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

  /** The conclusions about the parts of the group, by number; of the facts last solved. */
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
