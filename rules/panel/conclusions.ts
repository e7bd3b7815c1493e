/**
 * From the allowed combinations to what is known: for each part its possible positions, the roots
 * that may feed it, and whether each leg is live. Where combinations differ, it is unknown.
 */
import { factsKeys } from './facts.ts';
import type { Facts } from './facts.ts';
import { GroupSolver } from './group-solver.ts';
import type { SoftEvidence } from './group-solver.ts';
import type { Conclusion, Footing } from './part-conclusions.ts';
import type { Supply } from './supply.ts';

export type { Conclusion, Footing, SoftEvidence };

export interface Conclusions {
  parts: Conclusion[];
  /** Groups in which no combination fits the facts. */
  contradictory: number[];
  /** Same value, same conclusions: lets reasons be kept. */
  key: string;
  /** Soft evidence that no allowed combination meets, by its name. */
  refused: string[];
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
