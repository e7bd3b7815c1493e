/** Why something about access was not done, and how often a refusal is worth an entry. */

/**
 * `refused`: wrong name, password or code. `not allowed`: what was asked for cannot be. `unknown`:
 * there is no such person or session. `too many`: wait first. `busy`: too many sign in just now, or
 * the disk refuses.
 */
export interface AccessRefusal {
  problem: string;
  why: 'refused' | 'not allowed' | 'unknown' | 'too many' | 'busy';
  retryAfterMs?: number;
}

export const BUSY: AccessRefusal = {
  problem: 'Too many sign in at the same time. Try again in a few seconds.',
  why: 'busy',
  retryAfterMs: 5000,
};

export function notAllowed(problem: string): AccessRefusal {
  return { problem, why: 'not allowed' };
}

const SAME_EVERY_MS = 10 * 60_000;
const HOUR_MS = 3_600_000;
const HOURLY_MAX = 100;
const KEYS_MAX = 1000;

/** Bounds the entries that strangers can cause: the rest are counted and told with the next one. */
export class RefusalBound {
  readonly #lastMs = new Map<string, number>();
  #hourBeganMs = Number.NEGATIVE_INFINITY;
  #inHour = 0;
  #untold = 0;

  /** How many went untold before this one; null: this one shall not be told either. */
  tell(key: string, nowMs: number): number | null {
    if (nowMs - this.#hourBeganMs >= HOUR_MS) [this.#hourBeganMs, this.#inHour] = [nowMs, 0];
    const isRepeat = nowMs - (this.#lastMs.get(key) ?? Number.NEGATIVE_INFINITY) < SAME_EVERY_MS;
    if (isRepeat || this.#inHour >= HOURLY_MAX) {
      this.#untold += 1;
      return null;
    }
    if (this.#lastMs.size >= KEYS_MAX) this.#lastMs.clear();
    this.#lastMs.set(key, nowMs);
    this.#inHour += 1;
    const untold = this.#untold;
    this.#untold = 0;
    return untold;
  }
}
