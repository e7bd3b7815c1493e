/**
 * Sensor boards that hang: they go on sending their last message, which looks exactly like health.
 * A live AC voltage gives them away, since it is never still to the last digit for so long; what
 * rests on the same board is then no rest that anybody saw. A current is no such witness: a coarse
 * clamp on a load that never stops stands still too.
 */
import type { Boat, Circuit, Point, PointId } from '../boat/boat.ts';
import type { Latest } from './latest.ts';

export class Hanging {
  readonly #boat: Boat;
  readonly #latest: Latest;
  /** Points that come in one message, by any of them. */
  readonly #boards = new Map<PointId, Board>();

  constructor(boat: Boat, latest: Latest) {
    this.#boat = boat;
    this.#latest = latest;
    const byTopic = new Map<string, Board>();
    for (const point of boat.points.values()) {
      if (point.address.via !== 'mqtt') continue;
      const { topic } = point.address;
      const board = byTopic.get(topic) ?? { points: [], atMs: NaN, hangs: false };
      board.points.push(point);
      byTopic.set(topic, board);
      this.#boards.set(point.id, board);
    }
  }

  /** Whether a live reading of alternating current hangs, so that it is no evidence. */
  hangs(point: Point): boolean {
    const floor = this.#floorOf(point);
    return floor !== null && this.#latest.isHanging(point, floor);
  }

  /** Whether what is read of the circuit's current is only what its board last said before it hung. */
  hides(circuit: Circuit, nowMs: number): boolean {
    return circuit.legs.some((leg) => {
      const point = this.#latest.point(circuit.id, 'amps', leg);
      return point !== undefined && this.#boardHangs(point, nowMs);
    });
  }

  /** All of it stands still, and has since a live voltage of it stopped: what moved later is well. */
  #boardHangs(point: Point, nowMs: number): boolean {
    const board = this.#boards.get(point.id);
    if (!board) return false;
    if (board.atMs === nowMs) return board.hangs;
    board.atMs = nowMs;
    board.hangs = false;
    const { sensorFrozenIntervals } = this.#boat.limits;
    let least = Infinity;
    for (const own of board.points) {
      least = Math.min(least, this.#latest.sameInARow(own) ?? Infinity);
      if (least <= sensorFrozenIntervals) return false;
    }
    board.hangs = board.points.some((own) => {
      const run = this.#latest.sameInARow(own) ?? Infinity;
      const isWitness = own.quantity === 'volts' && run - least <= sensorFrozenIntervals;
      return isWitness && this.hangs(own);
    });
    return board.hangs;
  }

  /** Magnitude above which a point is live and therefore moves; null: it may stand still for ever. */
  #floorOf({ of, quantity }: Point): number | null {
    if (this.#boat.ac === null || this.#boat.parts.get(of)?.system !== 'ac') return null;
    const { liveRatio, drawingAmps } = this.#boat.limits;
    if (quantity === 'volts') return liveRatio * this.#boat.ac.volts;
    return quantity === 'amps' ? drawingAmps : null;
  }
}

interface Board {
  points: Point[];
  /** When it was last looked at, and what was found. */
  atMs: number;
  hangs: boolean;
}
