/**
 * How long to wait before trying to connect again: exponential with full jitter, so that a boat
 * full of clients does not knock in step after a broker's restart. Common practice.
 */
export const FIRST_WAIT_MS = 1_000;
export const LONGEST_WAIT_MS = 60_000;

export interface Backoff {
  /** Next wait: anything from 1 s to twice the last ceiling, and never above 60 s. */
  nextMs(): number;
  /** The other side answered; the next wait starts small again. */
  reset(): void;
}

/** `random` gives numbers in 0..1, 1 excluded. */
export function createBackoff(random: () => number): Backoff {
  let ceilingMs = FIRST_WAIT_MS;
  return {
    nextMs() {
      ceilingMs = Math.min(LONGEST_WAIT_MS, ceilingMs * 2);
      return FIRST_WAIT_MS + random() * (ceilingMs - FIRST_WAIT_MS);
    },
    reset() {
      ceilingMs = FIRST_WAIT_MS;
    },
  };
}
