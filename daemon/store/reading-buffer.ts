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
  /** By point and instant, so that a duplicate is ignored; a Map keeps the order of arrival. */
  readonly #waiting = new Map<string, StoredReading>();
  readonly #capacity: number;
  #lost = 0;

  constructor(capacity: number) {
    this.#capacity = capacity;
  }

  get size(): number {
    return this.#waiting.size;
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
    const key = `${wholeMs} ${pointId}`;
    if (this.#waiting.has(key)) return;
    this.#waiting.set(key, { pointId, atMs: wholeMs, value });
    if (this.#waiting.size > this.#capacity) this.#dropOldest();
  }

  /** The oldest readings, at most `count`; they stay until `remove` says that they are safe. */
  oldest(count: number): StoredReading[] {
    const taken: StoredReading[] = [];
    for (const reading of this.#waiting.values()) {
      if (taken.length === count) break;
      taken.push(reading);
    }
    return taken;
  }

  remove(readings: readonly StoredReading[]): void {
    for (const { atMs, pointId } of readings) this.#waiting.delete(`${atMs} ${pointId}`);
  }

  /** Counts what is still waiting as lost: there is nobody left to write it. */
  giveUp(): void {
    this.#lost += this.#waiting.size;
    this.#waiting.clear();
  }

  #dropOldest(): void {
    const oldest = this.#waiting.keys().next();
    if (oldest.done === true) return;
    this.#waiting.delete(oldest.value);
    this.#lost += 1;
  }
}
