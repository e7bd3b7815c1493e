/**
 * Readings of several points, averaged over the same stretches of time, so that what one sensor
 * said can be laid beside what another said although no two of them speak at one instant.
 */

/** Means of one point over the last stretches, in a ring. */
class Row {
  readonly #sums: Float64Array;
  readonly #counts: Uint16Array;
  readonly #stretches: Float64Array;
  #lastMs = -Infinity;

  constructor(kept: number) {
    this.#sums = new Float64Array(kept);
    this.#counts = new Uint16Array(kept);
    this.#stretches = new Float64Array(kept).fill(-1);
  }

  add(stretch: number, value: number, atMs: number): void {
    if (atMs <= this.#lastMs) return;
    this.#lastMs = atMs;
    const slot = stretch % this.#sums.length;
    if (this.#stretches[slot] !== stretch) {
      this.#stretches[slot] = stretch;
      this.#sums[slot] = 0;
      this.#counts[slot] = 0;
    }
    this.#sums[slot] = (this.#sums[slot] ?? 0) + value;
    this.#counts[slot] = (this.#counts[slot] ?? 0) + 1;
  }

  /** Mean over a stretch; NaN where fewer than `least` readings fell into it. */
  mean(stretch: number, least: number): number {
    const slot = stretch % this.#sums.length;
    if (this.#stretches[slot] !== stretch) return NaN;
    const count = this.#counts[slot] ?? 0;
    return count < least ? NaN : (this.#sums[slot] ?? 0) / count;
  }
}

export class PairedMeans {
  readonly stretchMs: number;
  readonly #rows: Row[];
  readonly #leasts: number[];

  /** `everyMs`: how often each point is expected to speak. */
  constructor(stretchMs: number, everyMs: readonly number[], kept: number) {
    this.stretchMs = stretchMs;
    this.#rows = everyMs.map(() => new Row(kept));
    // Half of what should have been said, and one reading in any case.
    this.#leasts = everyMs.map((own) => Math.max(1, Math.floor(stretchMs / own / 2)));
  }

  /** Takes a reading; one that it has taken before, or an older one, changes nothing. */
  add(row: number, value: number, atMs: number): void {
    this.#rows[row]?.add(this.stretchAt(atMs), value, atMs);
  }

  stretchAt(atMs: number): number {
    return Math.floor(atMs / this.stretchMs);
  }

  /** Means of a row from one stretch to another, both included; NaN where it said too little. */
  means(row: number, first: number, last: number): number[] {
    const own: number[] = [];
    for (let at = first; at <= last; at++) {
      own.push(this.#rows[row]?.mean(at, this.#leasts[row] ?? 1) ?? NaN);
    }
    return own;
  }
}
