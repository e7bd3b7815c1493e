/** Lets the daemon breathe in long work, and ends it when nobody waits for it any more. */
import { setImmediate as turn } from 'node:timers/promises';

/** Some ten milliseconds of a small computer. */
const STRETCH = 100;

/** What steps cost, in sixtieths of the decoding of one chunk of an hour. */
export const COST = { chunk: 10, minutes: 1, rollups: 20 } as const;

export class Pace {
  readonly #signal: AbortSignal | undefined;
  #done = 0;

  constructor(signal?: AbortSignal) {
    this.#signal = signal;
    signal?.throwIfAborted();
  }

  /** After each step. Rejects with the signal's reason once it aborts. */
  async step(cost: number): Promise<void> {
    this.#done += cost;
    if (this.#done < STRETCH) return;
    this.#done = 0;
    await turn();
    this.#signal?.throwIfAborted();
  }
}
