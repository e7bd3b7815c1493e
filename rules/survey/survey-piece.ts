/**
 * Surveys of pieces of time put together: each piece is surveyed once, kept, and added to those beside
 * it, so that a year need not be read again. Pieces that share an end add up to what one survey of all
 * of it would say; blocks of demand are never cut by ends on the quarter of an hour.
 */
import type { BlockMean } from './block-means.ts';
import type { Extreme, Survey } from './load-survey.ts';
import { runTotals } from './run-count.ts';
import type { RunTotals } from './run-count.ts';
import { DURATION_SHARES, TimeHistogram } from './time-histogram.ts';

const HOUR_MS = 3_600_000;

/** What one quantity came to over a piece of time; plain enough for JSON. */
export interface SurveyPiece {
  knownMs: number;
  readings: number;
  /** Unit of the samples times hours; 0 when nothing is known. */
  total: number;
  least: Extreme | null;
  most: Extreme | null;
  peakDemand: BlockMean | null;
  /** Null where it does not run, or where starts could not be counted. */
  runs: RunTotals | null;
  /** How long it stood at which level, by bins of TimeHistogram. */
  levels: (readonly [bin: number, ms: number])[];
}

/** Pieces in order of time to one. Of equal extremes the first stands. */
export function joined(pieces: readonly SurveyPiece[]): SurveyPiece {
  const levels = new TimeHistogram();
  for (const piece of pieces) levels.addAll(piece.levels);
  return {
    knownMs: sumOf(pieces, ({ knownMs }) => knownMs),
    readings: sumOf(pieces, ({ readings }) => readings),
    total: sumOf(pieces, ({ total }) => total),
    least: best(
      pieces,
      ({ least }) => least,
      (a, b) => a.value < b.value,
    ),
    most: best(
      pieces,
      ({ most }) => most,
      (a, b) => a.value > b.value,
    ),
    peakDemand: best(
      pieces,
      ({ peakDemand }) => peakDemand,
      (a, b) => a.mean > b.mean,
    ),
    runs: runsOf(pieces),
    levels: levels.levels(),
  };
}

/** The survey of a span of `spanMs` from all its pieces. */
export function surveyOf(pieces: readonly SurveyPiece[], spanMs: number): Survey {
  const { knownMs, total, levels, ...rest } = joined(pieces);
  const histogram = new TimeHistogram();
  histogram.addAll(levels);
  return {
    coverage: Math.min(1, knownMs / spanMs),
    knownMs,
    readings: rest.readings,
    total: knownMs > 0 ? total : null,
    mean: knownMs > 0 ? total / (knownMs / HOUR_MS) : null,
    least: rest.least,
    most: rest.most,
    peakDemand: rest.peakDemand,
    runs: rest.runs,
    loadDuration: histogram.exceededFor(DURATION_SHARES),
  };
}

function sumOf(pieces: readonly SurveyPiece[], of: (piece: SurveyPiece) => number): number {
  return pieces.reduce((sum, piece) => sum + of(piece), 0);
}

function best<Thing>(
  pieces: readonly SurveyPiece[],
  of: (piece: SurveyPiece) => Thing | null,
  isBetter: (a: Thing, b: Thing) => boolean,
): Thing | null {
  return pieces.reduce<Thing | null>((found, piece) => {
    const own = of(piece);
    return own !== null && (found === null || isBetter(own, found)) ? own : found;
  }, null);
}

/** Of the pieces in which runs were counted; null where that is none of them. */
function runsOf(pieces: readonly SurveyPiece[]): RunTotals | null {
  const counted = pieces.flatMap(({ runs }) => runs ?? []);
  if (counted.length === 0) return null;
  return counted.reduce((a, b) =>
    runTotals(a.runMs + b.runMs, a.knownMs + b.knownMs, a.starts + b.starts),
  );
}
