/** What intake hands to the rules: one measured quantity at one instant, in base units and signs. */
import type { PointId } from './boat/boat.ts';

export interface Reading {
  pointId: PointId;
  /** Number in the base unit of the point's quantity; a word for `position` and `switch` points. */
  value: number | string;
  /**
   * When it arrived, in milliseconds of the daemon's own clock. That clock never steps: wall time
   * at start plus monotonic time since. Every duration in `rules/` is a difference of these.
   */
  atMs: number;
  /**
   * Said before we were listening (retained, or replayed by a server). It may show on the page as
   * old; it is never fresh and never evidence.
   */
  isRestored?: boolean;
}

/** A sensor said itself that it has no valid value (null in open marine data, a last will). */
export interface Silence {
  pointId: PointId;
  atMs: number;
  isSilent: true;
}
