/**
 * The four widths in which rollups are kept, and how many rows stand in one blob. Minutes are
 * written with their hour and never touched again; the wider ones are rewritten once a day, so their
 * blobs are long enough for a chart to need few, and short enough to be rewritten.
 */
import type { TierMs } from './history.ts';
import type { Effort } from './integers.ts';
import { DAY_MS, HOUR_MS } from './tables.ts';

export interface Tier {
  widthMs: TierMs;
  table: 'minutes' | 'quarters' | 'hours' | 'days';
  /** Time in one blob; a blob's key has the number of this span since 1970. */
  spanMs: number;
  effort: Effort;
}

export const MINUTES: Tier = {
  widthMs: 60_000,
  table: 'minutes',
  spanMs: HOUR_MS,
  effort: 'short',
};

/** Made out of minutes, a day at a time. */
export const FOLDED_TIERS: readonly Tier[] = [
  { widthMs: 900_000, table: 'quarters', spanMs: 8 * DAY_MS, effort: 'long' },
  { widthMs: 3_600_000, table: 'hours', spanMs: 64 * DAY_MS, effort: 'long' },
  { widthMs: 86_400_000, table: 'days', spanMs: 1024 * DAY_MS, effort: 'long' },
];

const TIERS: readonly Tier[] = [MINUTES, ...FOLDED_TIERS];

/** The widest tier that is not wider than `widthMs`; null if even minutes are too wide. */
export function tierWithin(widthMs: number): Tier | null {
  return TIERS.findLast((tier) => tier.widthMs <= widthMs) ?? null;
}

export function tierOf(widthMs: TierMs): Tier {
  return TIERS.find((tier) => tier.widthMs === widthMs) ?? MINUTES;
}
