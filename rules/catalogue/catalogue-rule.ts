/** How the watch sees a rule, with or without a memory of its own. */
import type { Check } from '../alerts/check.ts';
import type { Boat } from '../boat/boat.ts';
import type { Rule, RuleContext } from './rule.ts';

/** A rule at work on one boat. */
export interface RunningRule {
  name: string;
  checks(context: RuleContext): Check[];
  /** Plain JSON; undefined for a rule that remembers nothing. */
  save(): unknown;
}

export interface CatalogueRule {
  /** Under which its memory is kept; never changes. */
  name: string;
  start(boat: Boat, saved: unknown): RunningRule;
}

/** A rule that looks at the panel of the instant and nothing else. */
export function plain(name: string, rule: Rule): CatalogueRule {
  return {
    name,
    start: () => ({ name, checks: (context) => rule(context), save: () => undefined }),
  };
}

export interface RememberingRule<Memory> {
  name: string;
  /** The memory of a new boat. Plain JSON: objects, arrays, numbers, texts, null. */
  fresh(boat: Boat): Memory;
  /**
   * Whether a memory from the disk is of this shape and fits this boat; if not, it starts afresh.
   * Add what is missing here where a newer version knows more.
   */
  isSound(saved: unknown, boat: Boat): saved is Memory;
  /** Looks at the panel and may change its memory. Called once an evaluation. */
  checks(context: RuleContext, memory: Memory): Check[];
}

/** A rule that learns or counts. What it knows survives a restart. */
export function remembering<Memory>(rule: RememberingRule<Memory>): CatalogueRule {
  return {
    name: rule.name,
    start(boat, saved) {
      // A copy, so that what was saved stays what it was.
      const copy: unknown = saved === undefined ? undefined : JSON.parse(JSON.stringify(saved));
      const memory = rule.isSound(copy, boat) ? copy : rule.fresh(boat);
      return {
        name: rule.name,
        checks: (context) => rule.checks(context, memory),
        save: () => memory,
      };
    },
  };
}
