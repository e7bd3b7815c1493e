/**
 * A value that ought to stay where it is, watched for a step: a quick mean over a few looks against
 * a slow one over many.
 */

/** Shares of a new value in the means, at each look. */
const QUICK = 0.3;
const SLOW = 0.02;

export class Drift {
  #quick: number;
  #slow: number;

  constructor(value: number) {
    this.#quick = value;
    this.#slow = value;
  }

  /** Takes the next value; returns how far the quick mean now stands above the slow one. */
  take(value: number): number {
    this.#quick += QUICK * (value - this.#quick);
    const step = this.#quick - this.#slow;
    this.#slow += SLOW * (value - this.#slow);
    return step;
  }
}
