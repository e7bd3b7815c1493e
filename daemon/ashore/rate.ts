/** How often one address may ask: a count that starts anew every minute. Bounded in memory. */
const MINUTE_MS = 60_000;
const ADDRESSES_MAX = 1000;

export class Rate {
  readonly #perMinute: number;
  readonly #nowMs: () => number;
  #counts = new Map<string, number>();
  #sinceMs: number;

  constructor(perMinute: number, nowMs: () => number) {
    this.#perMinute = perMinute;
    this.#nowMs = nowMs;
    this.#sinceMs = nowMs();
  }

  /** Counts one of this address; false where it was too much. Of too many addresses none is new. */
  allows(address: string): boolean {
    if (!this.isLeft(address)) return false;
    this.#counts.set(address, (this.#counts.get(address) ?? 0) + 1);
    return true;
  }

  /** Whether one more would be let through, without counting it. */
  isLeft(address: string): boolean {
    const nowMs = this.#nowMs();
    if (nowMs - this.#sinceMs >= MINUTE_MS) {
      this.#counts = new Map();
      this.#sinceMs = nowMs;
    }
    const count = this.#counts.get(address);
    return count === undefined ? this.#counts.size < ADDRESSES_MAX : count < this.#perMinute;
  }
}
