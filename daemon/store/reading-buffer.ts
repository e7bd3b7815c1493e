/**
 * Readings that wait for the disk, in the order they came. Bounded: while the disk refuses, the
 * oldest go first, and each is counted.
 */
import type { Reading } from '../../rules/reading.ts';
import { LAST_MS } from './history/tables.ts';

export interface StoredReading {
  pointId: string;
  /** Whole milliseconds of the daemon's clock. */
  atMs: number;
  value: number | string;
}

export class ReadingBuffer {
  /** In the order of arrival; what lies before `#gone` is not waiting any more. */
  #queue: StoredReading[] = [];
  #gone = 0;
  /** Instants that wait, by point, so that a duplicate is ignored. Cheaper than joined keys. */
  readonly #instants = new Map<string, Set<number>>();
  readonly #capacity: number;
  #lost = 0;

  constructor(capacity: number) {
    this.#capacity = capacity;
  }

  get size(): number {
    return this.#queue.length - this.#gone;
  }

  /** Readings that no disk will ever see, since start. */
  get lost(): number {
    return this.#lost;
  }

  /**
   * Never throws. A value that is no number a chart can use is lost, and counted as that; so is one
   * before 1970 or after the year 9999.
   */
  add({ pointId, atMs, value }: Reading): void {
    if (!(atMs >= 0 && atMs < LAST_MS) || (typeof value !== 'string' && !Number.isFinite(value))) {
      this.#lost += 1;
      return;
    }
    const wholeMs = Math.floor(atMs);
    let instants = this.#instants.get(pointId);
    if (instants === undefined) this.#instants.set(pointId, (instants = new Set()));
    if (instants.has(wholeMs)) return;
    instants.add(wholeMs);
    this.#queue.push({ pointId, atMs: wholeMs, value });
    if (this.size > this.#capacity) {
      this.#drop(1);
      this.#lost += 1;
    }
  }

  /** The oldest readings, at most `count`; they stay until `remove` says that they are safe. */
  oldest(count: number): StoredReading[] {
    return this.#queue.slice(this.#gone, this.#gone + count);
  }

  /** Takes out what `oldest` has just given. */
  remove(readings: readonly StoredReading[]): void {
    if (readings.length > 0 && readings[0] !== this.#queue[this.#gone])
      throw new RangeError('these are not the oldest');
    this.#drop(readings.length);
  }

  /** Counts what is still waiting as lost: there is nobody left to write it. */
  giveUp(): void {
    this.#lost += this.size;
    this.#drop(this.size);
  }

  #drop(count: number): void {
    const end = this.#gone + count;
    for (const { pointId, atMs } of this.#queue.slice(this.#gone, end)) {
      this.#instants.get(pointId)?.delete(atMs);
    }
    this.#gone = end;
    // Moving the rest down costs as much as the rest is long, so it waits until half are gone.
    if (this.#gone * 2 < this.#queue.length) return;
    this.#queue = this.#queue.slice(this.#gone);
    this.#gone = 0;
  }
}
