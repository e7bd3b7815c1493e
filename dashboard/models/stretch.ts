/** Stretches of time, and the ways in which a person moves over a chart. Pure. */

/** From one instant up to another, ms. */
export interface Stretch {
  fromMs: number;
  toMs: number;
}

/** Closer than this there is nothing to see: sensors speak about once a second. */
export const SHORTEST_MS = 10_000;
/** Longer than any record. */
export const LONGEST_MS = 20 * 366 * 24 * 3_600_000;

export const lengthOf = ({ fromMs, toMs }: Stretch): number => toMs - fromMs;

/** Moved by a share of its own length, later where `share` is above 0; never before 1970. */
export function panned(stretch: Stretch, share: number): Stretch {
  const byMs = Math.max(-stretch.fromMs, Math.round(lengthOf(stretch) * share));
  return { fromMs: stretch.fromMs + byMs, toMs: stretch.toMs + byMs };
}

/** `factor` times as long around an instant of it, which keeps its place; within the limits. */
export function zoomed(stretch: Stretch, factor: number, aroundMs = middleOf(stretch)): Stretch {
  const wantedMs = lengthOf(stretch) * factor;
  const lengthMs = Math.min(LONGEST_MS, Math.max(SHORTEST_MS, wantedMs));
  const before = (aroundMs - stretch.fromMs) / lengthOf(stretch);
  const fromMs = Math.max(0, Math.round(aroundMs - before * lengthMs));
  return { fromMs, toMs: Math.round(fromMs + lengthMs) };
}

/** Between two instants in either order, made long enough to be drawn. */
export function between(oneMs: number, otherMs: number): Stretch {
  const stretch = {
    fromMs: Math.round(Math.min(oneMs, otherMs)),
    toMs: Math.round(Math.max(oneMs, otherMs)),
  };
  return lengthOf(stretch) >= SHORTEST_MS ? stretch : around(middleOf(stretch), SHORTEST_MS);
}

/** So long, with the instant in its middle. */
export function around(atMs: number, lengthMs: number): Stretch {
  const fromMs = Math.max(0, Math.round(atMs - lengthMs / 2));
  return { fromMs, toMs: fromMs + Math.round(lengthMs) };
}

/** Moved back so far that it ends no later than `nowMs`: nothing is recorded in the future. */
export function untilNow(stretch: Stretch, nowMs: number): Stretch {
  const overMs = stretch.toMs - nowMs;
  if (overMs <= 0) return stretch;
  const byMs = Math.min(overMs, stretch.fromMs);
  return { fromMs: stretch.fromMs - byMs, toMs: stretch.toMs - byMs };
}

export const middleOf = ({ fromMs, toMs }: Stretch): number => (fromMs + toMs) / 2;

/** The instant under a place `share` (0..1, held to it) of the way through. */
export function instantAt(stretch: Stretch, share: number): number {
  return stretch.fromMs + Math.min(1, Math.max(0, share)) * lengthOf(stretch);
}

/** Where an instant lies, 0 at the beginning and 1 at the end; outside where it lies outside. */
export function shareAt({ fromMs, toMs }: Stretch, atMs: number): number {
  return (atMs - fromMs) / (toMs - fromMs);
}
