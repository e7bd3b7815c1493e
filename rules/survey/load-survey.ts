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
import type { Stretch } from './stretch.ts';
import { shareOf } from './stretch.ts';
import { surveyOf } from './survey-piece.ts';
import type { SurveyPiece } from './survey-piece.ts';
import { TimeHistogram } from './time-histogram.ts';

export { DURATION_SHARES } from './time-histogram.ts';

export interface SurveySpan extends Stretch {
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
    this.#blocks = new BlockMeans(span);
    this.#runs = span.runsAbove === null ? null : new RunCount(span.runsAbove, span);
  }

  /**
   * In order of time. What lies before or after the span only leads into it or out of it. Throws
   * RangeError when it lies before the one before.
   */
  take(sample: TimedSample): void {
    this.#integrator.take(sample);
    this.#blocks.take(sample);
    this.#runs?.take(sample);
    const before = this.#before;
    if (before?.value != null && sample.atMs - before.atMs <= this.#span.gapMaxMs) {
      const ms = shareOf(this.#span, before.atMs, sample.atMs);
      if (ms > 0) this.#levels.add(before.value, ms);
    }
    this.#before = sample;
    this.#note(sample);
  }

  survey(): Survey {
    return surveyOf([this.piece()], this.#span.toMs - this.#span.fromMs);
  }

  /** The same in a form that can be put together with others that follow. */
  piece(): SurveyPiece {
    const { valueHours, bridgedMs } = this.#integrator.integral();
    return {
      knownMs: bridgedMs,
      readings: this.#readings,
      total: valueHours ?? 0,
      least: this.#least,
      most: this.#most,
      peakDemand: this.#blocks.highest(),
      runs: this.#runs?.totals() ?? null,
      levels: this.#levels.levels(),
    };
  }

  #note({ atMs, value }: TimedSample): void {
    const { fromMs, toMs } = this.#span;
    if (value === null || atMs < fromMs || atMs > toMs) return;
    if (atMs < toMs) this.#readings += 1;
    if (this.#least === null || value < this.#least.value) this.#least = { value, atMs };
    if (this.#most === null || value > this.#most.value) this.#most = { value, atMs };
  }
}
