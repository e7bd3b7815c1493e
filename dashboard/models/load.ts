/** How a load is held against its rating: for bars and for words. Pure. */

/** A bar reaches from 0 to this share of the rating, so that an overload is still seen as longer. */
export const BAR_ENDS_AT = 1.25;
/** Where continuous loads should end (common practice from the code of the trade). */
export const CONTINUOUS_AT = 0.8;

export type Fullness = 'normal' | 'full' | 'over';

/** `full` from the continuous limit on, `over` above the rating. */
export function fullnessOf(ratio: number): Fullness {
  if (ratio > 1) return 'over';
  return ratio >= CONTINUOUS_AT ? 'full' : 'normal';
}

/** Length of the bar as a share of its track, 0..1. */
export function barShare(ratio: number): number {
  return Math.min(Math.max(ratio, 0), BAR_ENDS_AT) / BAR_ENDS_AT;
}

export type Flow = 'charging' | 'discharging' | 'resting';

/** Which way a battery's current flows, once it is more than what is shown as 0.0; null: not known. */
export function flowOf(amps: number | null): Flow | null {
  if (amps === null) return null;
  if (Math.abs(amps) < 0.05) return 'resting';
  return amps > 0 ? 'charging' : 'discharging';
}
