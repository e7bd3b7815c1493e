/**
 * Slows down whoever guesses, by address or by name. After so many tries in a minute each further
 * one has to wait, twice as long every time up to a limit. It never locks anybody out for good:
 * otherwise a stranger could keep the owner out by guessing.
 */

export interface ThrottleLimits {
  /** So many tries within `withinMs` cost nothing. */
  tries: number;
  withinMs: number;
  firstWaitMs: number;
  longestWaitMs: number;
  /** So long after the last try all is forgotten. */
  forgetAfterMs: number;
  /** More keys than that are not remembered. */
  keysMax: number;
}

const MINUTE_MS = 60_000;
const WAITS = {
  withinMs: MINUTE_MS,
  firstWaitMs: 30_000,
  longestWaitMs: 5 * MINUTE_MS,
  forgetAfterMs: 60 * MINUTE_MS,
  keysMax: 5000,
};
export const BY_ADDRESS: ThrottleLimits = { tries: 5, ...WAITS };
export const BY_PERSON: ThrottleLimits = { tries: 10, ...WAITS };

interface Tries {
  atMs: number[];
  waits: number;
  waitsUntilMs: number;
  lastMs: number;
}

export class Throttle {
  readonly #limits: ThrottleLimits;
  readonly #byKey = new Map<string, Tries>();

  constructor(limits: ThrottleLimits) {
    this.#limits = limits;
  }

  /** How long this one has to wait before the next try; 0: not at all. */
  waitMs(key: string, nowMs: number): number {
    return Math.max(0, (this.#byKey.get(key)?.waitsUntilMs ?? 0) - nowMs);
  }

  /** Counts a try, before it is known how it ends: tries at the same time count as well. */
  count(key: string, nowMs: number): void {
    const { tries, withinMs, firstWaitMs, longestWaitMs, forgetAfterMs } = this.#limits;
    const old = this.#byKey.get(key);
    const own: Tries =
      old && nowMs - old.lastMs < forgetAfterMs
        ? old
        : { atMs: [], waits: 0, waitsUntilMs: 0, lastMs: nowMs };
    own.atMs = [...own.atMs.filter((atMs) => nowMs - atMs < withinMs), nowMs];
    own.lastMs = nowMs;
    if (own.waits > 0 || own.atMs.length >= tries) {
      own.waitsUntilMs = nowMs + Math.min(longestWaitMs, firstWaitMs * 2 ** own.waits);
      own.waits = Math.min(own.waits + 1, 30);
    }
    // Put last: the oldest are dropped first.
    this.#byKey.delete(key);
    this.#byKey.set(key, own);
    if (this.#byKey.size > this.#limits.keysMax) this.#dropOne(nowMs);
  }

  /** The last try was right after all; what came before it still counts. */
  takeBack(key: string): void {
    const own = this.#byKey.get(key);
    if (own === undefined) return;
    own.atMs.pop();
    if (own.waits > 0) {
      own.waits -= 1;
      own.waitsUntilMs = 0;
    }
  }

  /** Starts afresh. */
  forget(key: string): void {
    this.#byKey.delete(key);
  }

  #dropOne(nowMs: number): void {
    const [oldest] = this.#byKey.keys();
    for (const [key, { waitsUntilMs }] of this.#byKey) {
      if (waitsUntilMs > nowMs) continue;
      this.#byKey.delete(key);
      return;
    }
    if (oldest !== undefined) this.#byKey.delete(oldest);
  }
}
