/**
 * Readings that wait for the disk, in the order they came. Bounded: while the disk refuses, the
 * oldest go first, and each is counted. They lie in columns: thousands of small objects that live
 * for ten seconds are what a garbage collector is worst at.
 */
import type { Reading } from '../../rules/reading.ts';
import { LAST_MS } from './history/tables.ts';

export interface StoredReading {
  pointId: string;
  /** Whole milliseconds of the daemon's clock. */
  atMs: number;
  value: number | string;
}

/** What waits of one point, so that a duplicate is ignored. */
interface Waiting {
  /** Greatest instant since the start; what is later than it can be no duplicate. */
  newestMs: number;
  /** Every instant that waits, from the first reading that comes late on; null: none has. */
  instants: Set<number> | null;
}

export class ReadingBuffer {
  /** In the order of arrival; what lies before `#gone` is not waiting any more. */
  #pointIds: string[] = [];
  #times: number[] = [];
  #values: (number | string)[] = [];
  #gone = 0;
  readonly #points = new Map<string, Waiting>();
  /** Of any point instants are known, because something came late. */
  #isAnyLate = false;
  readonly #capacity: number;
  #lost = 0;

  constructor(capacity: number) {
    this.#capacity = capacity;
  }

  get size(): number {
    return this.#times.length - this.#gone;
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
    if (this.#isWaiting(pointId, wholeMs)) return;
    this.#pointIds.push(pointId);
    this.#times.push(wholeMs);
    this.#values.push(value);
    if (this.size > this.#capacity) {
      this.#drop(1);
      this.#lost += 1;
    }
  }

  /** The oldest readings, at most `count`; they stay until `remove` says that they are safe. */
  oldest(count: number): StoredReading[] {
    const readings: StoredReading[] = [];
    const end = Math.min(this.#times.length, this.#gone + count);
    for (let at = this.#gone; at < end; at += 1) {
      const [pointId = '', atMs = 0] = [this.#pointIds[at], this.#times[at]];
      readings.push({ pointId, atMs, value: this.#values[at] ?? 0 });
    }
    return readings;
  }

  /** Takes out what `oldest` has just given. */
  remove(readings: readonly StoredReading[]): void {
    const [first] = readings;
    if (first === undefined) return;
    const isOldest =
      first.pointId === this.#pointIds[this.#gone] && first.atMs === this.#times[this.#gone];
    if (!isOldest || readings.length > this.size) throw new RangeError('these are not the oldest');
    this.#drop(readings.length);
  }

  /** Counts what is still waiting as lost: there is nobody left to write it. */
  giveUp(): void {
    this.#lost += this.size;
    this.#drop(this.size);
  }

  /** Whether that point and instant wait already; from now on they do. */
  #isWaiting(pointId: string, atMs: number): boolean {
    let own = this.#points.get(pointId);
    if (own === undefined) {
      this.#points.set(pointId, (own = { newestMs: -Infinity, instants: null }));
    }
    if (atMs > own.newestMs) own.newestMs = atMs;
    else {
      own.instants ??= this.#instantsOf(pointId);
      this.#isAnyLate = true;
    }
    if (own.instants === null) return false;
    if (own.instants.has(atMs)) return true;
    own.instants.add(atMs);
    return false;
  }

  #instantsOf(pointId: string): Set<number> {
    const times = this.#times.filter((_, at) => at >= this.#gone && this.#pointIds[at] === pointId);
    return new Set(times);
  }

  #drop(count: number): void {
    const end = this.#gone + count;
    if (this.#isAnyLate) this.#forgetInstants(end);
    this.#gone = end;
    // Moving the rest down costs as much as the rest is long, so it waits until half are gone.
    if (this.#gone * 2 < this.#times.length) return;
    this.#pointIds = this.#pointIds.slice(end);
    this.#times = this.#times.slice(end);
    this.#values = this.#values.slice(end);
    this.#gone = 0;
  }

  #forgetInstants(end: number): void {
    if (end === this.#times.length) {
      // Nothing that came late waits any more.
      for (const own of this.#points.values()) own.instants = null;
      this.#isAnyLate = false;
      return;
    }
    for (let at = this.#gone; at < end; at += 1) {
      const [pointId = '', atMs = 0] = [this.#pointIds[at], this.#times[at]];
      this.#points.get(pointId)?.instants?.delete(atMs);
    }
  }
}
