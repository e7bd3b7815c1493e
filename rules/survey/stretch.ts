/** A span of time and how far apart readings may be for the time between them to be known. */
export interface Stretch {
  fromMs: number;
  /** After `fromMs`. */
  toMs: number;
  /** Samples further apart than this leave a gap; above 0. */
  gapMaxMs: number;
}

/** How much of the time between two instants lies in the span, ms. */
export function shareOf({ fromMs, toMs }: Stretch, firstMs: number, lastMs: number): number {
  return Math.max(0, Math.min(lastMs, toMs) - Math.max(firstMs, fromMs));
}
