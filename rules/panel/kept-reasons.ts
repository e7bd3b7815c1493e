/** Reasons in words, kept until a fact changes, for they hold no numbers. */
import type { Grounds } from './reasons.ts';

export class KeptReasons {
  #key = '';
  #reasons = new Map<number, string[]>();

  /** The reasons of part `number`: those kept, or what `make` gives. */
  of(number: number, { conclusions }: Grounds, make: () => string[]): string[] {
    const own = conclusions.parts[number];
    // What rests on a word or a memory tells how long ago that was.
    if (own && (own.positionBy !== null || own.feedBy !== null)) return make();
    if (conclusions.key !== this.#key) {
      this.#key = conclusions.key;
      this.#reasons = new Map();
    }
    let reasons = this.#reasons.get(number);
    if (!reasons) this.#reasons.set(number, (reasons = make()));
    return reasons;
  }
}
