/**
 * Run time and starts of a load, from its current or power alone. The time between two samples
 * belongs to what the first of them showed; a gap counts neither as running nor as resting, and a
 * start in a gap was not seen.
 */
import type { TimedSample } from '../electrical/energy.ts';

import type { Stretch } from './stretch.ts';
import { shareOf } from './stretch.ts';

export interface RunTotals {
  runMs: number;
  /** Time that was seen, running or not. */
  knownMs: number;
  starts: number;
  /** Share of the known time that it ran, 0..1; null when no time is known. */
  dutyRatio: number | null;
}

/** Falls this far below what counts as running before it rests: a clamp's noise is no start. */
const REST_RATIO = 0.8;

export class RunCount {
  readonly #runsAbove: number;
  readonly #span: Stretch;
  #before: { atMs: number; runs: boolean } | null = null;
  #runMs = 0;
  #knownMs = 0;
  #starts = 0;

  /** Runs where its magnitude is above `runsAbove`. Only what lies in the span is counted. */
  constructor(runsAbove: number, span: Stretch) {
    this.#runsAbove = runsAbove;
    this.#span = span;
  }

  take({ atMs, value }: TimedSample): void {
    const before = this.#before;
    if (value === null || !Number.isFinite(value)) {
      this.#before = null;
      return;
    }
    const size = Math.abs(value);
    const isNear = before !== null && atMs - before.atMs <= this.#span.gapMaxMs;
    const runs = size > this.#runsAbove * (isNear && before.runs ? REST_RATIO : 1);
    if (isNear) {
      const ms = shareOf(this.#span, before.atMs, atMs);
      this.#knownMs += ms;
      if (before.runs) this.#runMs += ms;
      // A start at the very cut between two spans belongs to the first.
      const isWithin = atMs > this.#span.fromMs && atMs <= this.#span.toMs;
      if (runs && !before.runs && isWithin) this.#starts += 1;
    }
    this.#before = { atMs, runs };
  }

  totals(): RunTotals {
    return runTotals(this.#runMs, this.#knownMs, this.#starts);
  }
}

export function runTotals(runMs: number, knownMs: number, starts: number): RunTotals {
  return { runMs, knownMs, starts, dutyRatio: knownMs > 0 ? runMs / knownMs : null };
}
