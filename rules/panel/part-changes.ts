/**
 * Counts for each part how often what its points say has changed. A reading marks its part; how
 * long the rest stays as it is, is asked once and then remembered.
 */
import type { Boat, PartId, Point } from '../boat/boat.ts';

interface Changes {
  points: Point[];
  count: number;
  /** While the time is between these, nothing has changed since it was counted. */
  fromMs: number;
  untilMs: number;
}

export class PartChanges {
  readonly #parts = new Map<PartId, Changes>();

  constructor(boat: Boat) {
    for (const point of boat.points.values()) {
      const own = this.#parts.get(point.of);
      if (own) own.points.push(point);
      else this.#parts.set(point.of, { points: [point], count: 0, fromMs: 0, untilMs: -Infinity });
    }
  }

  /** A point of the part has been read. */
  mark(part: PartId): void {
    const own = this.#parts.get(part);
    if (own) own.untilMs = -Infinity;
  }

  /** Another number than before if anything has changed; 0 for a part without points. */
  count(part: PartId, nowMs: number, sameUntilMs: (point: Point) => number): number {
    const own = this.#parts.get(part);
    if (!own) return 0;
    if (nowMs >= own.fromMs && nowMs <= own.untilMs) return own.count;
    own.count += 1;
    own.fromMs = nowMs;
    own.untilMs = Infinity;
    for (const point of own.points) own.untilMs = Math.min(own.untilMs, sameUntilMs(point));
    return own.count;
  }
}
