/**
 * Passes values on at most once in `everyMs`: the first at once, later ones so that the newest is
 * never lost, only late. The timer and the clock are given, so that a test can hold them.
 */

export interface Pace {
  nowMs(): number;
  after(ms: number, act: () => void): void;
}

/** Returns the way in; `pass` gets what comes out. */
export function paced<T>(
  everyMs: number,
  pace: Pace,
  pass: (value: T) => void,
): (value: T) => void {
  let passedAtMs = Number.NEGATIVE_INFINITY;
  let waiting: { value: T } | null = null;

  const release = () => {
    if (waiting === null) return;
    const { value } = waiting;
    waiting = null;
    passedAtMs = pace.nowMs();
    pass(value);
  };

  return (value) => {
    const isFirstWaiting = waiting === null;
    waiting = { value };
    const leftMs = passedAtMs + everyMs - pace.nowMs();
    if (leftMs <= 0) release();
    else if (isFirstWaiting) pace.after(leftMs, release);
  };
}
