/** Answers a chart: chooses the tier and fills the buckets of each point. */
import type { StoredSpan } from '../time-axis.ts';
import type { Buckets, BucketsQuery, TierMs } from './history.ts';
import { COST, type Pace } from './pace.ts';
import type { PointView } from './point-view.ts';
import { Accumulator, type Before, GAP_MOST_MS, gapLimitMs } from './rollup.ts';
import { HOUR_MS } from './tables.ts';
import { MINUTES, type Tier, tierOf, tierWithin } from './tiers.ts';

/** Where a chart's buckets are, and what fills them; `tier` null: single readings. */
export interface Frame {
  fromMs: number;
  toMs: number;
  bucketMs: number;
  tier: Tier | null;
}

/** `isPruned`: single readings of the span are not all there any more. */
export function frameOf({ fromMs, toMs, buckets }: BucketsQuery, isPruned: boolean): Frame {
  const from = Math.floor(fromMs);
  const to = Math.max(from, Math.ceil(toMs));
  const bucketMs = Math.max(1, Math.ceil((to - from) / buckets));
  const tier = tierWithin(bucketMs) ?? (isPruned ? MINUTES : null);
  return tier === null
    ? { fromMs: from, toMs: to, bucketMs, tier }
    : alignedTo(tier, from, to, buckets);
}

function alignedTo(tier: Tier, from: number, to: number, buckets: number): Frame {
  const { widthMs } = tier;
  const fromMs = Math.floor(from / widthMs) * widthMs;
  const rows = Math.ceil((to - fromMs) / widthMs);
  return { fromMs, toMs: to, bucketMs: widthMs * Math.max(1, Math.ceil(rows / buckets)), tier };
}

/** Every row of one tier that starts in the span. */
export function framedRows(fromMs: number, toMs: number, tierMs: TierMs): Frame {
  const first = Math.ceil(fromMs / tierMs) * tierMs;
  return { fromMs: first, toMs: Math.max(first, toMs), bucketMs: tierMs, tier: tierOf(tierMs) };
}

/** `spans`: where the frame's instants are stored. */
export async function fill(
  frame: Frame,
  spans: readonly StoredSpan[],
  views: ReadonlyMap<string, PointView>,
  pace: Pace,
): Promise<Buckets['series']> {
  const series: Buckets['series'] = [];
  for (const [pointId, view] of views) {
    const length = Math.ceil((frame.toMs - frame.fromMs) / frame.bucketMs);
    const buckets = new Accumulator(frame.fromMs, frame.bucketMs, length, frame.toMs);
    for (const span of spans) {
      if (frame.tier === null) await addReadings(buckets, span, view, pace);
      else if (frame.tier === MINUTES) await addMinutes(buckets, span, view, pace);
      else await addRollups(frame.tier, buckets, span, view, pace);
    }
    series.push({ pointId, buckets: buckets.rows() });
  }
  return series;
}

async function addReadings(buckets: Accumulator, span: StoredSpan, view: PointView, pace: Pace) {
  // Lines lead into the span and out of it.
  const leadMs = Math.max(GAP_MOST_MS, view.slowMs);
  const first = Math.floor((span.fromMs - leadMs) / HOUR_MS);
  const last = Math.floor((span.toMs - 1 + leadMs) / HOUR_MS);
  let before: Before = null;
  for (let hour = first; hour <= last; hour++) {
    const column = view.column(hour);
    const gapMs = gapLimitMs(column.times, view.slowMs);
    before = buckets.addColumn(column, span.shiftMs, gapMs, before);
    await pace.step(column.times.length === 0 ? COST.minutes : COST.chunk);
  }
}

async function addMinutes(buckets: Accumulator, span: StoredSpan, view: PointView, pace: Pace) {
  const last = Math.floor((span.toMs - 1) / HOUR_MS);
  for (let hour = Math.floor(span.fromMs / HOUR_MS); hour <= last; hour++) {
    const minutes = view.minutes(hour);
    if (minutes !== null) addWithin(buckets, minutes, span);
    await pace.step(COST.minutes);
  }
}

async function addRollups(
  tier: Tier,
  buckets: Accumulator,
  span: StoredSpan,
  view: PointView,
  pace: Pace,
): Promise<void> {
  const last = Math.floor((span.toMs - 1) / tier.spanMs);
  for (let blob = Math.floor(span.fromMs / tier.spanMs); blob <= last; blob++) {
    addWithin(buckets, view.rollups(tier, blob), span);
    await pace.step(COST.rollups);
  }
}

/** Rows that start within the span; of a row that a new boot cuts, the boot it started in. */
function addWithin(buckets: Accumulator, rows: Accumulator, { fromMs, toMs, shiftMs }: StoredSpan) {
  const first = Math.max(0, Math.ceil((fromMs - rows.fromMs) / rows.widthMs));
  const end = Math.min(rows.length, Math.ceil((toMs - rows.fromMs) / rows.widthMs));
  for (let at = first; at < end; at++) buckets.addRow(rows, at, shiftMs);
}
