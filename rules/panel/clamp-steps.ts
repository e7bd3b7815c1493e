/**
 * What one circuit's steps did to the clamps of its bus, again and again: the ratios of the two, and
 * readings of loads that give power back. Plain JSON, kept over a restart.
 */
import type { Bus, Circuit, LegName, PartId, Point } from '../boat/boat.ts';

/** A step counts from here; whatever else moves by less than `STILL` has not stepped. */
const STEP_AMPS = 1.5;
const STILL_AMPS = 0.3;
const STILL_RATIO = 0.04;
/** So many steps make a judgement, and so many are remembered. */
export const ENOUGH = 4;
const REMEMBERED = 8;

/** Steps of the bus's clamps per ampere of the circuit's, newest last. */
interface Steps {
  own: number[];
  other: number[];
}

/** Plain JSON, kept over a restart. */
export interface SavedAudit {
  steps: Record<PartId, Steps>;
  /** Readings in a row in which a load gave power back, by point. */
  negative: Record<string, { count: number; atMs: number }>;
}

export const emptyAudit = (): SavedAudit => ({ steps: {}, negative: {} });

/** A copy that later changes do not reach. */
export function copyAudit({ steps, negative }: SavedAudit): SavedAudit {
  return {
    steps: Object.fromEntries(
      Object.entries(steps).map(([id, { own, other }]) => [
        id,
        { own: [...own], other: [...other] },
      ]),
    ),
    negative: Object.fromEntries(Object.entries(negative).map(([id, run]) => [id, { ...run }])),
  };
}

export interface WatchedCircuit {
  circuit: Circuit;
  point: Point;
}

export interface WatchedBus {
  bus: Bus;
  feeders: { leg: LegName; point: Point }[];
  circuits: WatchedCircuit[];
  /** Values when the bus was last calm, feeders first; null: not since the start. */
  calm: number[] | null;
  /** Values that it may be calm at now, and since when it is. */
  level: number[] | null;
  sinceMs: number;
}

export const hasMoved = (from: number, to: number): boolean =>
  Math.abs(to - from) > Math.max(STILL_AMPS, STILL_RATIO * from);

/** Writes down what one circuit's step did to the bus's clamps, if only one circuit stepped. */
export function noteStep(
  audit: SavedAudit,
  { feeders, circuits }: WatchedBus,
  before: readonly number[],
  after: readonly number[],
): void {
  const moved = circuits.flatMap((own, i) => {
    const at = feeders.length + i;
    const step = (after[at] ?? 0) - (before[at] ?? 0);
    return hasMoved(before[at] ?? 0, after[at] ?? 0) ? [{ ...own, step }] : [];
  });
  const [only] = moved;
  if (moved.length !== 1 || !only || Math.abs(only.step) < STEP_AMPS) return;
  const steps = (audit.steps[only.circuit.id] ??= { own: [], other: [] });
  const own: number[] = [];
  const other: number[] = [];
  feeders.forEach(({ leg }, i) => {
    const ratio = ((after[i] ?? 0) - (before[i] ?? 0)) / only.step;
    (only.circuit.legs.includes(leg) ? own : other).push(ratio);
  });
  const [ownRatio] = own;
  const [otherRatio] = other;
  if (ownRatio !== undefined) steps.own = [...steps.own, ownRatio].slice(-REMEMBERED);
  if (otherRatio !== undefined) steps.other = [...steps.other, otherRatio].slice(-REMEMBERED);
}

/** The middle of enough ratios that agree within a tenth of it; null where they do not. */
export function steadyRatio(ratios: readonly number[] | undefined): number | null {
  const last = (ratios ?? []).slice(-ENOUGH);
  if (last.length < ENOUGH) return null;
  const sorted = [...last].sort((a, b) => a - b);
  const middle = ((sorted[1] ?? 0) + (sorted[2] ?? 0)) / 2;
  const spread = (sorted.at(-1) ?? 0) - (sorted[0] ?? 0);
  return spread <= 0.1 * Math.abs(middle) ? middle : null;
}
