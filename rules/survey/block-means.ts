/**
 * Means over blocks of the clock, a quarter of an hour each unless told: the demand of the trade.
 * The highest is the peak demand of an existing-load study (NFPA 70, 220.87, which takes the
 * highest mean over 15 min; from memory).
 */
import { TimeIntegrator } from '../electrical/energy.ts';
import type { TimedSample } from '../electrical/energy.ts';

export const QUARTER_HOUR_MS = 900_000;

/** A block of which less is known is not compared: a quarter of an hour seen for a minute is none. */
const KNOWN_SHARE = 0.8;

export interface BlockMean {
  fromMs: number;
  mean: number;
  /** Share of the block that readings cover, 0..1. */
  coverage: number;
}

/**
 * Takes samples in order of time; holds no more than the block that is being filled. Of a block that
 * reaches out of the span only what lies within counts as known.
 */
export class BlockMeans {
  readonly #span: { fromMs: number; toMs: number; gapMaxMs: number };
  readonly #blockMs: number;
  #fromMs: number;
  #block: TimeIntegrator | null = null;
  #before: TimedSample | null = null;
  #highest: BlockMean | null = null;
  #blocks = 0;

  constructor(
    span: { fromMs: number; toMs: number; gapMaxMs: number },
    blockMs: number = QUARTER_HOUR_MS,
  ) {
    this.#span = span;
    this.#blockMs = blockMs;
    this.#fromMs = -Infinity;
  }

  take(sample: TimedSample): void {
    // The stretch between two samples may reach over an end of a block: both blocks get their part.
    this.#block?.take(sample);
    if (sample.atMs >= this.#fromMs + this.#blockMs) {
      this.#close();
      this.#fromMs = Math.floor(sample.atMs / this.#blockMs) * this.#blockMs;
      const { fromMs, toMs, gapMaxMs } = this.#span;
      const first = Math.max(fromMs, this.#fromMs);
      const end = Math.min(toMs, this.#fromMs + this.#blockMs);
      this.#block = end > first ? new TimeIntegrator(first, end, gapMaxMs) : null;
      if (this.#before) this.#block?.take(this.#before);
      this.#block?.take(sample);
    }
    this.#before = sample;
  }

  /** The block with the highest mean; of equal ones the first. Null when none was known enough. */
  highest(): BlockMean | null {
    this.#close();
    return this.#highest;
  }

  /** How many blocks were known enough to be compared. */
  get blocks(): number {
    return this.#blocks;
  }

  #close(): void {
    const integral = this.#block?.integral();
    this.#block = null;
    if (integral?.valueHours == null) return;
    const coverage = integral.bridgedMs / this.#blockMs;
    if (coverage < KNOWN_SHARE) return;
    this.#blocks += 1;
    const mean = integral.valueHours / (integral.bridgedMs / 3_600_000);
    if (this.#highest !== null && mean <= this.#highest.mean) return;
    this.#highest = { fromMs: this.#fromMs, mean, coverage };
  }
}
