/** A value that wanders and comes back: an Ornstein-Uhlenbeck process, for everything that flickers. */
import type { Random } from '../random.ts';

export class Drift {
  readonly #deviation: number;
  readonly #seconds: number;
  readonly #random: Random;
  #value = 0;

  /** Wanders around zero with a standard deviation, forgetting itself in about `seconds`. */
  constructor(deviation: number, seconds: number, random: Random) {
    this.#deviation = deviation;
    this.#seconds = seconds;
    this.#random = random;
  }

  get value(): number {
    return this.#value;
  }

  advance(seconds: number): void {
    const kept = Math.exp(-seconds / this.#seconds);
    const fresh = this.#deviation * Math.sqrt(1 - kept * kept);
    this.#value = this.#value * kept + fresh * this.#random.gaussian();
  }
}
