/**
 * Readings that are in the journal and not yet in a chunk: in memory, by point and hour, in order of
 * time. A reading that comes late lands in its place; of two at one instant the first stands.
 */
import { type Column, EMPTY_COLUMN } from './chunk.ts';
import type { StoredReading } from './history.ts';
import { HOUR_MS } from './tables.ts';

interface Growing {
  times: number[];
  values: (number | string)[];
}

export class Recent {
  readonly #points = new Map<string, Map<number, Growing>>();
  #size = 0;

  /** Readings in it. */
  get size(): number {
    return this.#size;
  }

  add({ pointId, atMs, value }: StoredReading): void {
    const hour = Math.floor(atMs / HOUR_MS);
    let hours = this.#points.get(pointId);
    if (hours === undefined) this.#points.set(pointId, (hours = new Map()));
    let column = hours.get(hour);
    if (column === undefined) hours.set(hour, (column = { times: [], values: [] }));
    const { times, values } = column;
    const place = placeOf(times, atMs);
    if (times[place - 1] === atMs) return;
    if (place === times.length) {
      times.push(atMs);
      values.push(value);
    } else {
      times.splice(place, 0, atMs);
      values.splice(place, 0, value);
    }
    this.#size += 1;
  }

  /** What there is now; it may grow later, so a reader that lets others work copies it first. */
  column(pointId: string, hour: number): Column {
    return this.#points.get(pointId)?.get(hour) ?? EMPTY_COLUMN;
  }

  hoursOf(pointId: string): number[] {
    return [...(this.#points.get(pointId)?.keys() ?? [])];
  }

  points(): string[] {
    return [...this.#points.keys()];
  }

  /** Hours in which any point has readings, in order. */
  hours(): number[] {
    const hours = new Set<number>();
    for (const of of this.#points.values()) for (const hour of of.keys()) hours.add(hour);
    return [...hours].sort((a, b) => a - b);
  }

  /** Takes out of one hour of a point what `column` holds; readings that came meanwhile stay. */
  remove(pointId: string, hour: number, { times: taken }: Column): void {
    const hours = this.#points.get(pointId);
    const column = hours?.get(hour);
    if (hours === undefined || column === undefined) return;
    const gone = new Set<number>(Array.from(taken));
    const stays = column.times.map((atMs) => !gone.has(atMs));
    const left = {
      times: column.times.filter((_, at) => stays[at]),
      values: column.values.filter((_, at) => stays[at]),
    };
    this.#size -= column.times.length - left.times.length;
    if (left.times.length > 0) hours.set(hour, left);
    else hours.delete(hour);
    if (hours.size === 0) this.#points.delete(pointId);
  }

  /** Everything that is left, point by point. */
  *all(): Generator<StoredReading> {
    for (const [pointId, hours] of this.#points) {
      for (const { times, values } of hours.values()) {
        for (let at = 0; at < times.length; at++) {
          yield { pointId, atMs: times[at] ?? 0, value: values[at] ?? 0 };
        }
      }
    }
  }
}

/** Behind all instants that are not later. Nearly always that is the end. */
function placeOf(times: readonly number[], atMs: number): number {
  let high = times.length;
  if (high === 0 || (times[high - 1] ?? 0) <= atMs) return high;
  let low = 0;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((times[middle] ?? 0) <= atMs) low = middle + 1;
    else high = middle;
  }
  return low;
}
