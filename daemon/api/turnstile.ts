/** Lets so many in at once, keeps so many waiting in order, and turns the others away. */
import { RequestProblem } from './problem.ts';

export class Turnstile {
  readonly #insideMax: number;
  readonly #waitingMax: number;
  readonly #waiting: (() => void)[] = [];
  #inside = 0;

  readonly #full: string;

  /** `full`: a sentence for those who are turned away. */
  constructor(insideMax: number, waitingMax: number, full: string) {
    this.#full = full;
    this.#insideMax = insideMax;
    this.#waitingMax = waitingMax;
  }

  /** Resolves with the way out, to be called once. Rejects with a 503 when too many wait. */
  async enter(gone: AbortSignal): Promise<() => void> {
    if (this.#inside >= this.#insideMax) {
      if (this.#waiting.length >= this.#waitingMax) {
        throw new RequestProblem(503, `${this.#full} Try again soon.`);
      }
      await new Promise<void>((admit) => {
        this.#waiting.push(admit);
        gone.addEventListener('abort', () => this.#giveUp(admit), { once: true });
      });
    } else {
      this.#inside += 1;
    }
    return () => this.#leave();
  }

  /** Whoever leaves hands the place to the next. */
  #leave(): void {
    const next = this.#waiting.shift();
    if (next === undefined) this.#inside -= 1;
    else next();
  }

  /** A client that went away while waiting takes the way out at once. */
  #giveUp(admit: () => void): void {
    const place = this.#waiting.indexOf(admit);
    if (place === -1) return;
    this.#waiting.splice(place, 1);
    this.#inside += 1;
    admit();
  }
}
