/**
 * What feeds a bus stays known after the evidence for it has faded, as long as nobody can have
 * turned anything unseen (see `feed-ties.ts`).
 *
 * It is not kept over a restart: nobody watched meanwhile.
 */
import type { PartRule } from './agreements.ts';
import type { Conclusions } from './conclusions.ts';
import type { FeedTies, Tie } from './feed-ties.ts';
import type { SoftEvidence } from './group-solver.ts';
import type { Footing } from './part-conclusions.ts';
import { isRoot } from './supply.ts';
import type { Supply } from './supply.ts';

/**
 * A memory does not feed on itself, nor on what somebody said; nor on a distance in volts, which a
 * turn leaves told for some readings more.
 */
const TOLD: ReadonlySet<Footing> = new Set(['readings', 'movement']);

/** One bus with what it is remembered by. */
interface Remembered {
  tie: Tie;
  rules: PartRule[];
  /** When it was last told. */
  toldMs: number;
}

export class FeedMemory {
  readonly #supply: Supply;
  readonly #ties: FeedTies;
  readonly #remembered = new Map<number, Remembered>();

  constructor(supply: Supply, ties: FeedTies) {
    this.#supply = supply;
    this.#ties = ties;
  }

  /** Ends what can no longer be relied on, and returns the rest as evidence. */
  recall(nowMs: number): SoftEvidence[] {
    const found: SoftEvidence[] = [];
    for (const measured of this.#ties.buses) {
      const { number } = measured;
      const own = this.#remembered.get(number);
      if (!own) continue;
      if (this.#ties.holds(measured, own.tie, nowMs)) {
        found.push({ name: nameOf(number), footing: 'memory', rules: own.rules });
      } else {
        this.#remembered.delete(number);
      }
    }
    return found;
  }

  /** Takes note of what the readings make known, and forgets what they refuse. */
  learn(conclusions: Conclusions, nowMs: number): void {
    const refused = new Set(conclusions.refused);
    this.#ties.noteFeeds(conclusions);
    for (const measured of this.#ties.buses) {
      const { number } = measured;
      if (refused.has(nameOf(number))) this.#remembered.delete(number);
      const rules = this.#chain(number, conclusions);
      const root = this.#ties.feedOf(number);
      if (!rules || root === undefined) continue;
      const before = this.#remembered.get(number);
      if (before?.tie.root === root && sameRules(before.rules, rules)) {
        before.toldMs = nowMs;
        continue;
      }
      const tie = this.#ties.tie(measured, root, nowMs);
      if (tie) this.#remembered.set(number, { tie, rules, toldMs: nowMs });
    }
  }

  /** Reason behind what rests on a memory, or null where the evidence is another. */
  reason(name: string, nowMs: number): string | null {
    for (const { number, bus } of this.#ties.buses) {
      const own = this.#remembered.get(number);
      if (!own || nameOf(number) !== name) continue;
      const minutes = Math.floor((nowMs - own.toldMs) / 60_000);
      const ago = minutes < 1 ? 'less than a minute' : `${minutes} min`;
      return `The readings told it ${ago} ago, and ${bus.label} has had voltage without a break since.`;
    }
    return null;
  }

  /** Positions of everything between the bus and its root, if the readings tell them all. */
  #chain(bus: number, conclusions: Conclusions): PartRule[] | null {
    const rules: PartRule[] = [];
    let at = bus;
    for (;;) {
      const own = this.#supply.parts[at];
      const conclusion = conclusions.parts[at];
      if (!own || isRoot(own.part)) return rules;
      const [choice] = conclusion?.possible ?? [];
      if (conclusion?.possible.length !== 1 || choice === undefined) return null;
      if (!TOLD.has(conclusion.positionRestsOn)) return null;
      const from = own.choices[choice]?.from ?? null;
      if (from === null) return null;
      if (own.part.part !== 'bus') rules.push({ part: at, choices: [choice] });
      at = from;
    }
  }
}

const nameOf = (bus: number): string => `memory ${bus}`;

const sameRules = (a: readonly PartRule[], b: readonly PartRule[]): boolean =>
  a.length === b.length &&
  a.every((rule, i) => rule.part === b[i]?.part && rule.choices?.[0] === b[i].choices?.[0]);
