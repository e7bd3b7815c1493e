/**
 * The daemon's only source of time; nothing else calls `Date.now` or sets a timer.
 *
 * Its milliseconds look like UTC and never step: wall time at start plus monotonic time since. So
 * every difference of two of them is a true duration, whatever happens to the wall clock. A speed
 * above 1 makes a demonstration run faster; every duration given to it is in its own milliseconds.
 */
export interface Clock {
  nowMs(): number;
  /** Calls `fn` every `ms`; the returned function ends it. Late calls are not made up for. */
  every(ms: number, fn: () => void): () => void;
  /** Calls `fn` once after `ms`; the returned function cancels it. */
  after(ms: number, fn: () => void): () => void;
}

/** A timer of Node fires at once when asked for more than this. */
const LONGEST_TIMER_MS = 2 ** 31 - 1;

/** Starts at `startMs` (default: wall time now) and runs `speed` times as fast as real time. */
export function startClock({
  speed = 1,
  startMs = Date.now(),
}: { speed?: number; startMs?: number } = {}): Clock {
  if (!(speed > 0 && speed <= 10_000)) throw new RangeError(`speed must be in 0..10000: ${speed}`);
  const originMs = performance.now();
  const realMs = (ms: number): number => Math.min(Math.max(1, ms / speed), LONGEST_TIMER_MS);
  return {
    nowMs: () => Math.round(startMs + (performance.now() - originMs) * speed),
    every(ms, fn) {
      const timer = setInterval(fn, realMs(ms));
      return () => clearInterval(timer);
    },
    after(ms, fn) {
      const timer = setTimeout(fn, realMs(ms));
      return () => clearTimeout(timer);
    },
  };
}

/** A clock that stands still until told, for tests and replay. Timers fire in order of their time. */
export interface ManualClock extends Clock {
  /** Moves on to `toMs`, firing every timer that falls due on the way, at its own time. */
  advanceTo(toMs: number): void;
}

interface Timer {
  dueMs: number;
  everyMs: number | null;
  fn: () => void;
}

export function manualClock(startMs: number): ManualClock {
  let now = startMs;
  const timers = new Set<Timer>();
  const add = (timer: Timer): (() => void) => {
    timers.add(timer);
    return () => {
      timers.delete(timer);
    };
  };
  const nextDue = (byMs: number): Timer | undefined =>
    [...timers].filter((timer) => timer.dueMs <= byMs).sort((a, b) => a.dueMs - b.dueMs)[0];
  return {
    nowMs: () => now,
    every: (ms, fn) => add({ dueMs: now + ms, everyMs: Math.max(1, ms), fn }),
    after: (ms, fn) => add({ dueMs: now + ms, everyMs: null, fn }),
    advanceTo(toMs) {
      for (let timer = nextDue(toMs); timer; timer = nextDue(toMs)) {
        now = Math.max(now, timer.dueMs);
        if (timer.everyMs === null) timers.delete(timer);
        else timer.dueMs += timer.everyMs;
        timer.fn();
      }
      now = Math.max(now, toMs);
    },
  };
}

/** What the computer's wall clock says, ms since 1970. Only the wall watch may ask it. */
export function wallNowMs(): number {
  return Date.now();
}

/** Starts measuring; the returned function tells the real milliseconds since, whatever the speed. */
export function stopwatch(): () => number {
  const startMs = performance.now();
  return () => performance.now() - startMs;
}
