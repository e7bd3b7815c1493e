/**
 * Two clamps that tell one story: two points that say the same to the last digit change after
 * change report one clamp, and two circuits that each step on the other's leg have their clamps
 * exchanged. Two clamps on two wires never agree to the last digit for long, not even on one wire.
 */
import type { Boat, Circuit, PartId, Point, PointId } from '../boat/boat.ts';
import { contradictionOf } from './clamp-faults.ts';
import { sensorWords } from './culprits.ts';
import type { Latest } from './latest.ts';
import type { Contradiction } from './panel-state.ts';

/** So many changes to the same new value, and never another, make two points one. */
const ENOUGH = 30;

interface WatchedPoint {
  point: Point;
  /** Above this it counts: idle clamps agree on next to nothing by chance. */
  least: number;
  value: number | null;
}

/** Circuits' clamps that report one and the same. */
export class ClampTwins {
  readonly #boat: Boat;
  readonly #latest: Latest;
  readonly #points: WatchedPoint[];
  /** Equal changes of a pair, by the ids of both, joined. */
  readonly #equal = new Map<string, number>();
  readonly #pairsOf = new Map<PointId, Map<string, WatchedPoint>>();

  constructor(boat: Boat, latest: Latest) {
    this.#boat = boat;
    this.#latest = latest;
    this.#points = boat.circuits.flatMap((circuit) => {
      const points = circuit.legs.flatMap((leg) => latest.point(circuit.id, 'amps', leg) ?? []);
      // A load across two legs draws the same on both; one of its clamps is enough.
      return points
        .slice(0, 1)
        .map((point) => ({ point, least: circuit.drawingAmps, value: null }));
    });
  }

  /** Takes in the newest readings. Once an evaluation. */
  note(nowMs: number): void {
    const changed: WatchedPoint[] = [];
    for (const own of this.#points) {
      const value = this.#latest.numberAt(own.point, nowMs);
      if (value === own.value) continue;
      own.value = value;
      changed.push(own);
    }
    this.#forget(changed);
    this.#count(changed);
  }

  contradictions(): Contradiction[] {
    return [...this.#equal].flatMap(([key, count]) => {
      if (count < ENOUGH) return [];
      const [one, other] = key.split(' ').flatMap((id) => this.#boat.points.get(id) ?? []);
      return one && other ? [this.#twins(one, other)] : [];
    });
  }

  /** Pairs of which one has changed to something else than the other says. */
  #forget(changed: readonly WatchedPoint[]): void {
    for (const own of changed) {
      for (const [key, other] of this.#pairsOf.get(own.point.id) ?? []) {
        if (own.value === other.value || own.value === null || other.value === null) continue;
        this.#equal.delete(key);
        this.#pairsOf.get(own.point.id)?.delete(key);
        this.#pairsOf.get(other.point.id)?.delete(key);
      }
    }
  }

  /** Points that have changed to one and the same value since the last look. */
  #count(changed: readonly WatchedPoint[]): void {
    const byValue = new Map<number, WatchedPoint>();
    for (const own of changed) {
      if (own.value === null || Math.abs(own.value) <= own.least) continue;
      const first = byValue.get(own.value);
      if (!first) {
        byValue.set(own.value, own);
        continue;
      }
      const key = `${first.point.id} ${own.point.id}`;
      this.#equal.set(key, Math.min(ENOUGH, (this.#equal.get(key) ?? 0) + 1));
      this.#pair(first, own, key);
    }
  }

  #pair(one: WatchedPoint, other: WatchedPoint, key: string): void {
    for (const [own, its] of [
      [one, other],
      [other, one],
    ] as const) {
      const pairs = this.#pairsOf.get(own.point.id);
      if (pairs) pairs.set(key, its);
      else this.#pairsOf.set(own.point.id, new Map([[key, its]]));
    }
  }

  #twins(one: Point, other: Point): Contradiction {
    const [first, second] = [one, other].map((point) => sensorWords(this.#boat, point));
    const because = `${capital(first ?? '')} and ${second} have said the same to the last digit, change after change.`;
    return contradictionOf([one.of, other.of], because, {
      kind: 'duplicated clamp',
      points: [one.id, other.id],
      text: 'Most likely both points report one clamp: look at their addresses in the boat file and at the channels of the sensor.',
    });
  }
}

/** A circuit that steps on a leg that is not its own. */
export interface OnOtherLeg {
  circuit: Circuit;
  point: Point;
  because: string;
}

/** Two circuits that each step on the other's leg; null where it is not exactly two. */
export function exchanged(boat: Boat, found: readonly OnOtherLeg[]): Contradiction | null {
  const [one, other] = found;
  if (found.length !== 2 || !one || !other) return null;
  if (one.circuit.legs.join() === other.circuit.legs.join()) return null;
  const parts: PartId[] = [one.circuit.id, other.circuit.id];
  const words = [one, other].map(({ point }) => sensorWords(boat, point)).join(' and ');
  return contradictionOf(parts, `${one.because} ${other.because}`, {
    kind: 'swapped clamps',
    points: [one.point.id, other.point.id],
    text: `Most likely ${words} are exchanged: each shows what the other circuit draws.`,
  });
}

const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);
