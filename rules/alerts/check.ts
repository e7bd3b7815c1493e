/**
 * What a rule says about one subject at one instant. Rules only judge; how long a condition must
 * hold before anyone is told, and how long it must be over, is counted in one place: `timing.ts`.
 */
import type { Known } from '../panel/panel-state.ts';
import type { Finding, Mode, Priority } from './alert.ts';

/**
 * `raise`: the condition holds. `clear`: it does not. `hold`: between the two (deadband): it does
 * not begin anything and it ends nothing. `unknown`: no fresh evidence; nothing begins or ends.
 */
export type Verdict = 'raise' | 'hold' | 'clear' | 'unknown';

export interface Level {
  priority: Priority;
  verdict: Verdict;
  /** The verdict must be `raise` for so long in all, in milliseconds. */
  onDelayMs: number;
  /** A break in `raise` shorter than this does not start the on-delay anew; default 0. */
  gapMs?: number;
  /** The modes it speaks in; absent: all that its check speaks in. */
  modes?: readonly Mode[];
}

export interface Check {
  rule: string;
  /** Unique among the checks of one evaluation; kebab case with dots, becomes part of alert ids. */
  key: string;
  /** Most severe first. Several levels of one condition are one alert. */
  levels: Level[];
  /** The verdict must be `clear` for so long in all before a level is over, in milliseconds. */
  offDelayMs: number;
  /**
   * Keys of checks, or beginnings of keys up to a dot, whose conditions follow from this one: while
   * its alert stands, theirs are told inside it. A check that explains none leaves it out.
   */
  explains?: readonly string[];
  /** The modes it applies in; absent: all. */
  modes?: readonly Mode[];
  /** The words for a person, at the priority that has been reached. Only asked for when needed. */
  describe(priority: Priority): Finding;
}

/** Whether a level of a check speaks in a mode. */
export const speaksIn = (check: Pick<Check, 'modes'>, level: Level, mode: Mode): boolean =>
  check.modes?.includes(mode) !== false && level.modes?.includes(mode) !== false;

/** `raise` above `raiseAbove`, `clear` at or below `clearAtOrBelow`, `hold` between. */
export function above(value: Known, raiseAbove: number, clearAtOrBelow: number): Verdict {
  if (value.value === null) return 'unknown';
  if (value.value > raiseAbove) return 'raise';
  return value.value <= clearAtOrBelow ? 'clear' : 'hold';
}

/** The one that counts when several verdicts are about one condition: any `raise` raises. */
export function worst(verdicts: readonly Verdict[]): Verdict {
  for (const verdict of ['raise', 'hold', 'unknown'] as const) {
    if (verdicts.includes(verdict)) return verdict;
  }
  return verdicts.length > 0 ? 'clear' : 'unknown';
}
