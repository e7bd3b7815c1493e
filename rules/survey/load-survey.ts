/**
 * What one measured quantity came to over a span: total, extremes, demand, run time, starts and
 * load duration, each over the time that readings cover and no other. Takes samples one by one, so
 * a year needs no more memory than a minute.
 */
import { TimeIntegrator } from '../electrical/energy.ts';
import type { TimedSample } from '../electrical/energy.ts';
import { BlockMeans } from './block-means.ts';
import type { BlockMean } from './block-means.ts';
import { RunCount } from './run-count.ts';
import type { RunTotals } from './run-count.ts';
import { TimeHistogram } from './time-histogram.ts';

export interface SurveySpan {
  fromMs: number;
  /** After `fromMs`. */
  toMs: number;
  /** Samples further apart than this leave a gap; above 0. */
  gapMaxMs: number;
  /** Magnitude above which the load runs; null for what does not run, such as a voltage. */
  runsAbove: number | null;
}

export interface Extreme {
  value: number;
  atMs: number;
}

export interface Survey {
  /** Share of the span that readings cover, 0..1. */
  coverage: number;
  /** Known time in milliseconds. */
  knownMs: number;
  /** Readings within the span. */
  readings: number;
  /** Unit of the samples times hours, over the known time only; null when none is known. */
  total: number | null;
  /** Mean over the known time. */
  mean: number | null;
  least: Extreme | null;
  most: Extreme | null;
  /** Highest mean of a quarter of an hour of the clock; null when none was known enough. */
  peakDemand: BlockMean | null;
  runs: RunTotals | null;
  /** Level that was exceeded for each of `DURATION_SHARES` of the known time. */
  loadDuration: (number | null)[];
}

/** Shares of the known time at which the load duration curve is given. */
export const DURATION_SHARES: readonly number[] = [
  0, 0.01, 0.02, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.99, 1,
];

export class LoadSurvey {
  readonly #span: SurveySpan;
  readonly #integrator: TimeIntegrator;
  readonly #blocks: BlockMeans;
  readonly #runs: RunCount | null;
  readonly #levels = new TimeHistogram();
  #before: TimedSample | null = null;
  #readings = 0;
  #least: Extreme | null = null;
  #most: Extreme | null = null;

  /** Throws RangeError unless the span has a length and `gapMaxMs` is above 0. */
  constructor(span: SurveySpan) {
    if (!(span.toMs > span.fromMs && span.gapMaxMs > 0)) {
      throw new RangeError('a survey needs a span and a longest step');
    }
    this.#span = span;
    this.#integrator = new TimeIntegrator(span.fromMs, span.toMs, span.gapMaxMs);
    this.#blocks = new BlockMeans(span.gapMaxMs);
    this.#runs = span.runsAbove === null ? null : new RunCount(span.runsAbove, span.gapMaxMs);
  }

  /** In order of time, all within the span. Throws RangeError when it lies before the one before. */
  take(sample: TimedSample): void {
    this.#integrator.take(sample);
    this.#blocks.take(sample);
    this.#runs?.take(sample);
    const before = this.#before;
    if (before?.value != null && sample.atMs - before.atMs <= this.#span.gapMaxMs) {
      this.#levels.add(before.value, sample.atMs - before.atMs);
    }
    this.#before = sample;
    this.#note(sample);
  }

  survey(): Survey {
    const { valueHours, bridgedMs, coverage } = this.#integrator.integral();
    return {
      coverage,
      knownMs: bridgedMs,
      readings: this.#readings,
      total: valueHours,
      mean: valueHours === null ? null : valueHours / (bridgedMs / 3_600_000),
      least: this.#least,
      most: this.#most,
      peakDemand: this.#blocks.highest(),
      runs: this.#runs?.totals() ?? null,
      loadDuration: this.#levels.exceededFor(DURATION_SHARES),
    };
  }

  #note({ atMs, value }: TimedSample): void {
    if (value === null) return;
    this.#readings += 1;
    if (this.#least === null || value < this.#least.value) this.#least = { value, atMs };
    if (this.#most === null || value > this.#most.value) this.#most = { value, atMs };
  }
}
