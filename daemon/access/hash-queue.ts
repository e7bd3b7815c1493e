/** A few hashes at once and a few that wait: guesses by the thousand must not fill the memory. */

export class HashQueue {
  readonly #atOnce: number;
  readonly #waitingMax: number;
  readonly #waiting: (() => void)[] = [];
  #running = 0;

  constructor(atOnce: number, waitingMax: number) {
    this.#atOnce = atOnce;
    this.#waitingMax = waitingMax;
  }

  /** Does the work in its turn; null, at once, where too many wait already. */
  async run<Result>(work: () => Promise<Result>): Promise<Result | null> {
    if (this.#running < this.#atOnce) this.#running += 1;
    else if (this.#waiting.length >= this.#waitingMax) return null;
    else {
      await new Promise<void>((admit) => {
        this.#waiting.push(admit);
      });
    }
    try {
      return await work();
    } finally {
      // The place goes straight to the next, so that nobody slips in between.
      const next = this.#waiting.shift();
      if (next === undefined) this.#running -= 1;
      else next();
    }
  }
}
