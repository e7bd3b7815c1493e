/**
 * The survey of a span of which only means of quarters of an hour are left: each is taken as a steady
 * value for as long as it was known. Energy and demand come out right; runs and starts cannot.
 */
import type { Boat, PointId } from '../boat/boat.ts';
import { BoatSurvey } from './boat-survey.ts';
import type { BoatPiece } from './boat-survey.ts';
import { QUARTER_HOUR_MS } from './block-means.ts';

/** A quarter of an hour of one point; the names are those of the history's rollups. */
export interface QuarterHour {
  atMs: number;
  count: number;
  min: number;
  max: number;
  /** How long a value was known, ms, and the unit of the point times seconds over that time. */
  coveredMs: number;
  integral: number;
}

type Quarters = readonly { pointId: PointId; buckets: readonly QuarterHour[] }[];

interface Step {
  pointId: PointId;
  atMs: number;
  value: number | null;
  /** At one instant, values come before the ends of others. */
  order: number;
}

/** The piece from `fromMs` to `toMs` out of the quarters that start in it, each point's in order. */
export function roughPiece(
  boat: Boat,
  fromMs: number,
  toMs: number,
  quarters: Quarters,
): BoatPiece {
  const survey = new BoatSurvey(boat, fromMs, toMs, QUARTER_HOUR_MS);
  for (const { pointId, atMs, value } of stepsOf(quarters)) survey.take(pointId, atMs, value);
  const piece = survey.piece();
  for (const { pointId, buckets } of quarters) {
    const own = piece.points[pointId];
    const read = buckets.filter(({ count }) => count > 0);
    if (own === undefined || read.length === 0) continue;
    const least = read.reduce((a, b) => (b.min < a.min ? b : a));
    const most = read.reduce((a, b) => (b.max > a.max ? b : a));
    own.readings = read.reduce((sum, { count }) => sum + count, 0);
    own.least = { value: least.min, atMs: least.atMs };
    own.most = { value: most.max, atMs: most.atMs };
  }
  return piece;
}

/** What is told to the survey, in order of time: each quarter begins, ends, and is unknown after. */
function stepsOf(quarters: Quarters): Step[] {
  const steps: Step[] = [];
  for (const { pointId, buckets } of quarters) {
    for (const { atMs, coveredMs, integral } of buckets) {
      if (coveredMs <= 0) continue;
      const value = (1000 * integral) / coveredMs;
      const endMs = atMs + Math.min(coveredMs, QUARTER_HOUR_MS);
      steps.push({ pointId, atMs, value, order: 2 });
      steps.push({ pointId, atMs: endMs, value, order: 0 });
      steps.push({ pointId, atMs: endMs, value: null, order: 1 });
    }
  }
  return steps.sort((a, b) => a.atMs - b.atMs || a.order - b.order);
}
