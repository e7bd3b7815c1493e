/**
 * How long a quantity stood at which level, in bins of equal ratio, so that memory stays small over
 * a year. Bins are one per cent wide: a level read back is within half a per cent of the true one.
 */

/** Shares of the known time at which the load duration curve is given. */
export const DURATION_SHARES: readonly number[] = [
  0, 0.01, 0.02, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.99, 1,
];

/** Levels below this, of either sign, count as zero: a tenth of the finest clamp aboard. */
const FLOOR = 0.001;
const WIDTH = Math.log(1.01);

const binOf = (value: number): number => {
  const size = Math.abs(value);
  if (size < FLOOR) return 0;
  return Math.sign(value) * (1 + Math.floor(Math.log(size / FLOOR) / WIDTH));
};

/** The middle of a bin, by ratio. */
const levelOf = (bin: number): number =>
  bin === 0 ? 0 : Math.sign(bin) * FLOOR * Math.exp((Math.abs(bin) - 0.5) * WIDTH);

export class TimeHistogram {
  readonly #msOf = new Map<number, number>();
  #totalMs = 0;

  /** `value` stood for `ms`; both finite, `ms` not below 0. */
  add(value: number, ms: number): void {
    const bin = binOf(value);
    this.#msOf.set(bin, (this.#msOf.get(bin) ?? 0) + ms);
    this.#totalMs += ms;
  }

  /** What was added, as bins and their time, for `addAll` of another one. */
  levels(): [bin: number, ms: number][] {
    return [...this.#msOf];
  }

  addAll(levels: readonly (readonly [bin: number, ms: number])[]): void {
    for (const [bin, ms] of levels) {
      this.#msOf.set(bin, (this.#msOf.get(bin) ?? 0) + ms);
      this.#totalMs += ms;
    }
  }

  /**
   * Level that was exceeded for each of these shares of the known time (0..1, ascending): the load
   * duration curve. Null throughout when no time is known.
   */
  exceededFor(shares: readonly number[]): (number | null)[] {
    const bins = [...this.#msOf].sort(([a], [b]) => b - a);
    let at = 0;
    let aboveMs = bins[0]?.[1] ?? 0;
    return shares.map((share) => {
      while (at < bins.length - 1 && aboveMs < share * this.#totalMs) {
        at += 1;
        aboveMs += bins[at]?.[1] ?? 0;
      }
      const bin = bins[at];
      return bin === undefined ? null : levelOf(bin[0]);
    });
  }
}
