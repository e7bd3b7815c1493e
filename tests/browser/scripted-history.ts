/** Recorded-like history for tests of the page: smooth loads with a hole in which nobody spoke. */
import type { Bucket, HistoryAnswer, PointDescription } from '../../daemon/api/contract.ts';
import { SCRIPTED_POINTS } from './scripted-panel.ts';

export interface Hole {
  fromMs: number;
  toMs: number;
}

function isQuantity(text: string): text is PointDescription['quantity'] {
  return text === 'volts' || text === 'amps' || text === 'stateOfCharge';
}

export const POINT_DESCRIPTIONS: PointDescription[] = SCRIPTED_POINTS.flatMap((point) => {
  const { id, of, leg, quantity, unit, expectedEveryMs } = point;
  if (!isQuantity(quantity)) return [];
  const label = `${of} ${quantity}${leg === null ? '' : ` ${leg}`}`;
  return [{ id, label, of, leg, quantity, unit, expectedEveryMs }];
});

function bucketAt(id: string, atMs: number, index: number): Bucket {
  const base = SCRIPTED_POINTS.find((point) => point.id === id)?.value;
  const middle = typeof base === 'number' ? base : 5;
  const mean = middle * (1 + 0.12 * Math.sin(index / 9));
  return [atMs, mean * 0.93, mean * 1.1, mean, 9, 1];
}

/** Buckets from `fromMs` to `toMs`, none in the hole and none after `endsMs`. */
export function scriptedHistory(
  points: readonly string[],
  span: Hole,
  buckets: number,
  hole: Hole,
  endsMs: number,
): HistoryAnswer {
  const bucketMs = Math.max(1, Math.ceil((span.toMs - span.fromMs) / buckets));
  const starts = Array.from(
    { length: Math.ceil((span.toMs - span.fromMs) / bucketMs) },
    (_, index) => span.fromMs + index * bucketMs,
  );
  const series = points.map((pointId) => ({
    pointId,
    unit: SCRIPTED_POINTS.find(({ id }) => id === pointId)?.unit ?? '',
    buckets: starts.flatMap((atMs, index) => {
      const isSilent = atMs + bucketMs > hole.fromMs && atMs < hole.toMs;
      return isSilent || atMs >= endsMs ? [] : [bucketAt(pointId, atMs, index)];
    }),
  }));
  return { fromMs: span.fromMs, toMs: span.toMs, bucketMs, series };
}
