/**
 * Bounds of alternating currents over the last readings. Clamps speak at different instants, so a
 * load that starts is seen by one before the other: what one reads now, the other reads next.
 */
import type { Boat, Point, PointId } from '../boat/boat.ts';

/** Beyond this a slow sensor is not waited for. */
const MOST_MS = 60_000;

/** A reading older than so many stretches is stale, and no bound of what flows now. */
const MOST_STRETCHES = 3;

/**
 * Two stretches of time are kept, so what is told looks back over one to two of them, and always as
 * far as the reading before the newest: clamps speak early and late, and now and then not at all.
 */
export class CurrentWindow {
  readonly #stretchMs: number;
  #untilMs = -Infinity;
  #lastMs = -Infinity;
  #low = Infinity;
  #high = -Infinity;
  #lowBefore = Infinity;
  #highBefore = -Infinity;

  constructor(stretchMs: number) {
    this.#stretchMs = stretchMs;
  }

  /** Takes a reading, in amperes; readings come in the order of their times. */
  take(amps: number, atMs: number): void {
    if (atMs >= this.#untilMs) {
      const hasGap = atMs - this.#lastMs > MOST_STRETCHES * this.#stretchMs;
      this.#lowBefore = hasGap ? Infinity : this.#low;
      this.#highBefore = hasGap ? -Infinity : this.#high;
      this.#low = Infinity;
      this.#high = -Infinity;
      this.#untilMs = atMs + this.#stretchMs;
    }
    this.#lastMs = atMs;
    this.#low = Math.min(this.#low, amps);
    this.#high = Math.max(this.#high, amps);
  }

  get lowest(): number {
    return Math.min(this.#low, this.#lowBefore);
  }

  get highest(): number {
    return Math.max(this.#high, this.#highBefore);
  }
}

/** The windows of all clamps of alternating current on one boat. */
export class CurrentWindows {
  readonly #windows = new Map<PointId, CurrentWindow>();

  /** Each looks back over at least the interval of the slowest of those that are compared. */
  constructor(boat: Boat) {
    const clamps = [...boat.points.values()].filter(
      ({ of, quantity }) => quantity === 'amps' && boat.parts.get(of)?.system === 'ac',
    );
    const slowest = Math.max(1000, ...clamps.map((point) => point.expectedEveryMs));
    for (const { id } of clamps) {
      this.#windows.set(id, new CurrentWindow(Math.min(slowest, MOST_MS)));
    }
  }

  take(point: Point, amps: number, atMs: number): void {
    this.#windows.get(point.id)?.take(Math.abs(amps), atMs);
  }

  /** Least and greatest magnitude, amperes; undefined for any other point. */
  of(point: Point): CurrentWindow | undefined {
    return this.#windows.get(point.id);
  }
}
