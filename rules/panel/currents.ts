/**
 * Do the currents add up? Of two live sources only the one whose clamp shows the buses' current
 * can be feeding them. Clamps are a few percent off and speak at different instants, so this
 * evidence is soft: it chooses between combinations, but it never leaves none, and it counts only
 * what no turn of speaking explains.
 */
import { FORGOTTEN } from './combinations.ts';
import type { Diagram } from './combinations.ts';
import { deadLegs } from './facts.ts';
import type { CurrentFact, Facts } from './facts.ts';
import { isRoot } from './supply.ts';
import type { Supply } from './supply.ts';

/** Amperes and ratio by which a source's clamp and its buses' clamps may differ; common practice. */
const SLACK_AMPS = 1;
const SLACK_RATIO = 0.15;

/** Beyond so many final states the currents are not looked at: less is known then, nothing wrong. */
export const MOST_FINALS = 5_000;

/** Buses of a group whose current helps to tell its sources apart; none where no source is clamped. */
export function currentParts(supply: Supply, facts: Facts, group: number): number[] {
  const inGroup = facts.currents.filter((own) => supply.parts[own.part]?.group === group);
  if (!inGroup.some((own) => isSource(supply, own))) return [];
  const dead = deadLegs(facts);
  const buses = inGroup.filter(
    (own) => !isSource(supply, own) && !dead.has(`${own.part} ${own.leg}`),
  );
  return [...new Set(buses.map((own) => own.part))];
}

const isSource = (supply: Supply, fact: CurrentFact): boolean => {
  const part = supply.parts[fact.part]?.part;
  return part !== undefined && isRoot(part);
};

export interface CurrentConflict {
  root: number;
  text: string;
}

/** Bounds of what the buses draw that a source would feed; `high` null: no upper bound. */
interface Draw {
  low: number;
  high: number | null;
}

/** Currents of one group, made ready to be compared with many combinations. */
export class CurrentTest {
  readonly #supply: Supply;
  readonly #sources: CurrentFact[];
  readonly #buses: { fact: CurrentFact; slot: number }[];

  constructor(supply: Supply, facts: Facts, group: number, { tracked }: Diagram) {
    this.#supply = supply;
    const own = facts.currents.filter((fact) => supply.parts[fact.part]?.group === group);
    this.#sources = own.filter((fact) => isSource(supply, fact));
    this.#buses = own.flatMap((fact) => {
      const slot = tracked.indexOf(fact.part);
      return isSource(supply, fact) || slot < 0 ? [] : [{ fact, slot }];
    });
  }

  /** Every root whose measured current cannot be that of the buses it would feed here. */
  conflicts(roots: readonly number[]): CurrentConflict[] {
    return this.#sources.flatMap((source) => {
      const { low, high } = this.#drawOf(source, roots);
      const name = this.#supply.parts[source.part]?.part.label ?? '';
      if (isBelow(source.highest ?? Infinity, low)) {
        const text = `${name} delivers less than the buses draw that it would feed`;
        return [{ root: source.part, text }];
      }
      if (high !== null && isAbove(source.lowest, high)) {
        const text = `${name} delivers more than the buses draw that it would feed`;
        return [{ root: source.part, text }];
      }
      return [];
    });
  }

  fits(roots: readonly number[]): boolean {
    return this.#sources.every((source) => {
      const { low, high } = this.#drawOf(source, roots);
      return (
        !isBelow(source.highest ?? Infinity, low) &&
        (high === null || !isAbove(source.lowest, high))
      );
    });
  }

  #drawOf(source: CurrentFact, roots: readonly number[]): Draw {
    let low = 0;
    let high: number | null = 0;
    for (const { fact, slot } of this.#buses) {
      if (fact.leg !== source.leg) continue;
      const root = roots[slot];
      if (root === source.part) {
        low += fact.lowest;
        high = high === null || fact.highest === null ? null : high + fact.highest;
      } else if (root === FORGOTTEN) {
        // A bus that nothing is known about may hang on any source.
        high = null;
      }
    }
    return { low, high };
  }
}

const isBelow = (amps: number, low: number): boolean => amps < low * (1 - SLACK_RATIO) - SLACK_AMPS;
const isAbove = (amps: number, high: number): boolean =>
  amps > high * (1 + SLACK_RATIO) + SLACK_AMPS;

/** For each final state whether its currents add up; all of them where none does. */
export function fittingFinals(
  supply: Supply,
  facts: Facts,
  group: number,
  diagram: Diagram,
): boolean[] {
  const { finals, tracked } = diagram;
  if (finals.length < 2 || tracked.length === 0) return finals.map(() => true);
  const test = new CurrentTest(supply, facts, group, diagram);
  const fits = finals.map(({ roots }) => test.fits(roots));
  return fits.includes(true) ? fits : finals.map(() => true);
}
