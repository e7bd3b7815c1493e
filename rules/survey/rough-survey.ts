/**
 * The survey of a span of which only means of quarters of an hour are left: each is taken as a steady
 * value for as long as it was known. Energy and demand come out right; runs and starts cannot. Where
 * the wall clock was set back while running, a quarter came twice and is known for longer than it
 * lasts: what is over goes into a survey of its own, and both count.
 */
import type { Boat, PointId } from '../boat/boat.ts';
import { BoatSurvey, joinedBoat } from './boat-survey.ts';
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
  const pieces = Array.from({ length: lapsOf(quarters) }, (_, lap) => {
    const survey = new BoatSurvey(boat, fromMs, toMs, QUARTER_HOUR_MS);
    for (const { pointId, atMs, value } of stepsOf(quarters, lap))
      survey.take(pointId, atMs, value);
    return survey.piece();
  });
  const piece = joinedBoat(pieces);
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

/** Sums of many steps may be a little too long; that is no second time. */
const SLACK_MS = 1;

/** How often a quarter of an hour came at most; 1 unless the clock was set back. */
function lapsOf(quarters: Quarters): number {
  let longestMs = 0;
  for (const { buckets } of quarters) {
    for (const { coveredMs } of buckets) longestMs = Math.max(longestMs, coveredMs);
  }
  return Math.max(1, Math.ceil((longestMs - SLACK_MS) / QUARTER_HOUR_MS));
}

/**
 * What is told to the survey of one lap, in order of time: each quarter begins, ends, and is unknown
 * after.
 */
function stepsOf(quarters: Quarters, lap: number): Step[] {
  const steps: Step[] = [];
  for (const { pointId, buckets } of quarters) {
    for (const { atMs, coveredMs, integral } of buckets) {
      const leftMs = coveredMs - lap * QUARTER_HOUR_MS;
      if (leftMs <= (lap === 0 ? 0 : SLACK_MS)) continue;
      const value = (1000 * integral) / coveredMs;
      const endMs = atMs + Math.min(leftMs, QUARTER_HOUR_MS);
      steps.push({ pointId, atMs, value, order: 2 });
      steps.push({ pointId, atMs: endMs, value, order: 0 });
      steps.push({ pointId, atMs: endMs, value: null, order: 1 });
    }
  }
  return steps.sort((a, b) => a.atMs - b.atMs || a.order - b.order);
}
