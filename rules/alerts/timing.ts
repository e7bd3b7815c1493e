/**
 * On-delay, off-delay and ride-through of gaps, for every rule alike. Counts elapsed time between
 * evaluations; what is unknown neither counts nor resets, so a silent sensor can neither raise an
 * alert nor clear one, and a flapping sensor cannot put one off for ever.
 */
import type { Alert, Ended, Mode } from './alert.ts';
import { speaksIn } from './check.ts';
import type { Check, Level, Verdict } from './check.ts';

/** A level as it is timed. `quiet`: it does not speak in this mode, and begins anew after it. */
export interface TimedLevel extends Omit<Level, 'verdict'> {
  verdict: Verdict | 'quiet';
}

interface LevelTiming {
  /** When the condition began; null while it does not hold. */
  sinceMs: number | null;
  /** Time it has held in all since then. */
  heldMs: number;
  /** Time it has been over since it last held; null while it holds. */
  gapMs: number | null;
  /** The on-delay has passed, the off-delay has not. */
  isMet: boolean;
}

/** Plain JSON, kept over a restart; time while the daemon was down does not count. */
export type Timing = LevelTiming[];

export interface Timed {
  timing: Timing;
  /** Index of the most severe level that is met; null for none. */
  met: number | null;
  /** When the condition of that level began. */
  sinceMs: number | null;
  /** The met level has no fresh evidence at this instant. */
  isHeld: boolean;
}

export const NEVER: LevelTiming = { sinceMs: null, heldMs: 0, gapMs: null, isMet: false };

function stepLevel(
  level: TimedLevel,
  before: LevelTiming,
  offDelayMs: number,
  nowMs: number,
  passedMs: number,
): LevelTiming {
  if (level.verdict === 'unknown') return before;
  if (level.verdict === 'quiet') return NEVER;
  if (level.verdict === 'raise') {
    const heldMs = before.sinceMs === null ? 0 : before.heldMs + passedMs;
    return {
      sinceMs: before.sinceMs ?? nowMs,
      heldMs,
      gapMs: null,
      isMet: before.isMet || heldMs >= level.onDelayMs,
    };
  }
  if (before.sinceMs === null) return before;
  // Inside the deadband a met level stays met, and an unmet one is as good as over.
  if (before.isMet && level.verdict === 'hold') return { ...before, gapMs: null };
  const gapMs = before.gapMs === null ? 0 : before.gapMs + passedMs;
  const mostMs = before.isMet ? offDelayMs : (level.gapMs ?? 0);
  return gapMs >= mostMs ? NEVER : { ...before, gapMs };
}

/** One step of the timing of `check`, `passedMs` after the one before. */
export function step(
  check: { levels: readonly TimedLevel[]; offDelayMs: number },
  before: Timing | undefined,
  nowMs: number,
  passedMs: number,
): Timed {
  const timing = check.levels.map((level, i) =>
    stepLevel(level, before?.[i] ?? NEVER, check.offDelayMs, nowMs, passedMs),
  );
  const met = timing.findIndex((level) => level.isMet);
  if (met < 0) return { timing, met: null, sinceMs: null, isHeld: false };
  return {
    timing,
    met,
    sinceMs: timing[met]?.sinceMs ?? null,
    isHeld: check.levels[met]?.verdict === 'unknown',
  };
}

/** Whether there is anything in it worth keeping. */
export const isIdle = (timing: Timing): boolean => timing.every((level) => level.sinceMs === null);

/** The levels of a check as they stand in a mode. Most checks know no modes and are as they were. */
export function levelsIn(check: Check, mode: Mode): readonly TimedLevel[] {
  const isAll = check.modes === undefined && check.levels.every((own) => own.modes === undefined);
  if (isAll) return check.levels;
  return check.levels.map((level) =>
    speaksIn(check, level, mode) ? level : { ...level, verdict: 'quiet' },
  );
}

/** How an alert ends whose condition is not met any more. */
export function endOf(
  alert: Pick<Alert, 'chattering'> & { isUnconfirmed: boolean },
  before: Timing | undefined,
  levels: readonly TimedLevel[],
): Ending {
  // A mode that begins ends what does not concern it; the condition may hold all the same.
  const isQuiet = before?.some((own, i) => own.isMet && levels[i]?.verdict === 'quiet');
  if (isQuiet === true) return { type: 'close', why: 'not told in this mode' };
  // Whoever has lost what they knew of it cannot tell that it is over.
  if (alert.isUnconfirmed) return { type: 'close', why: 'lost in a restart' };
  // What comes and goes must be seen to have gone.
  const isSeen = levels.some(({ verdict }) => verdict !== 'unknown');
  return alert.chattering && !isSeen ? { type: 'hold' } : { type: 'return' };
}

type Ending = { type: 'hold' } | { type: 'return' } | { type: 'close'; why: Ended['why'] };
