/**
 * Puts readings into chunks. Preparing (reading what is there, merging, packing) and writing are
 * apart: the first takes long and is done in slices, the second is one transaction, all or nothing.
 */
import type { Database, Statement } from 'better-sqlite3';
import { type Column, merged, packTimes, packValues } from './chunk.ts';
import type { ChunkTables } from './chunk-tables.ts';
import { Accumulator, type Before, firstOf, GAP_MOST_MS, gapLimitMs, lastOf } from './rollup.ts';
import { packRollups } from './rollup-blob.ts';
import { sealed } from './sealed.ts';
import { DAY_MS, HOUR_MS, keyOf, pointOf, POINTS_MAX, spanOf } from './tables.ts';
import { MINUTES } from './tiers.ts';

interface PreparedChunk {
  key: number;
  /** Not sealed yet: the key of its row is not known. */
  times: Uint8Array;
  readings: number;
  packed: Buffer;
  isNew: boolean;
}

/** What one transaction will write. */
export interface Prepared {
  chunks: PreparedChunk[];
  minutes: { key: number; packed: Buffer }[];
  unfolded: Set<number>;
  /** Readings that were not there before. */
  added: number;
}

export function nothingPrepared(): Prepared {
  return { chunks: [], minutes: [], unfolded: new Set(), added: 0 };
}

export class ChunkWriter {
  readonly #db: Database;
  readonly #tables: ChunkTables;
  readonly #addPoint: Statement<[string], number>;
  readonly #timesOf: Statement<[number, number], { key: number; packed: Buffer }>;
  readonly #setTimes: Statement<[number, Buffer]>;
  readonly #dropTimes: Statement<[number, number, number, number]>;
  readonly #setChunk: Statement<[number, number, number, Buffer]>;
  readonly #setMinutes: Statement<[number, Buffer]>;
  readonly #setUnfolded: Statement<[number]>;
  readonly #addToMark: Statement<[string, number]>;
  readonly #setMark: Statement<[string, number]>;

  constructor(tables: ChunkTables) {
    const { db } = tables;
    this.#db = db;
    this.#tables = tables;
    this.#addPoint = db
      .prepare<[string], number>('INSERT INTO point (id) VALUES (?) RETURNING number')
      .pluck();
    this.#timesOf = db.prepare('SELECT key, packed FROM times WHERE key >= ? AND key < ?');
    this.#setTimes = db.prepare('INSERT INTO times (key, packed) VALUES (?, ?)');
    this.#dropTimes = db.prepare(
      `DELETE FROM times WHERE key >= ? AND key < ?
         AND key NOT IN (SELECT times FROM chunk WHERE key >= ? AND key < ?)`,
    );
    this.#setChunk = db.prepare(
      'INSERT OR REPLACE INTO chunk (key, times, readings, packed) VALUES (?, ?, ?, ?)',
    );
    this.#setMinutes = db.prepare('INSERT OR REPLACE INTO minutes (key, packed) VALUES (?, ?)');
    this.#setUnfolded = db.prepare('INSERT OR IGNORE INTO unfolded (key) VALUES (?)');
    this.#addToMark = db.prepare(
      `INSERT INTO mark (name, value) VALUES (?, ?)
       ON CONFLICT (name) DO UPDATE SET value = value + excluded.value`,
    );
    this.#setMark = db.prepare(
      `INSERT INTO mark (name, value) VALUES (?, ?)
       ON CONFLICT (name) DO UPDATE SET value = excluded.value`,
    );
  }

  setMark(name: string, value: number): void {
    this.#setMark.run(name, value);
  }

  /** Gives a number to every point that has none. Throws RangeError if there are no more. */
  numberAll(pointIds: readonly string[]): void {
    const missing = pointIds.filter((id) => this.#tables.numberOf(id) === null);
    if (missing.length === 0) return;
    this.#db
      .transaction(() => {
        for (const id of missing) {
          if ((this.#addPoint.get(id) ?? POINTS_MAX) < POINTS_MAX) continue;
          throw new RangeError(`there are more than ${POINTS_MAX} points`);
        }
      })
      .immediate();
  }

  /**
   * Adds to `prepared` what more readings of one point in one hour make of its chunk. `slowMs`: what
   * `slowGapMs` says of the point.
   */
  prepare(prepared: Prepared, point: number, hour: number, more: Column, slowMs = 0): void {
    const old = this.#tables.chunk(point, hour);
    const column = merged(old, more);
    if (column.times.length === 0) return;
    const key = keyOf(hour, point);
    prepared.chunks.push({
      key,
      times: packTimes(column.times, hour * HOUR_MS, 'long'),
      readings: column.times.length,
      packed: sealed(packValues(column.values, 'long'), key),
      isNew: old.times.length === 0,
    });
    prepared.added += column.times.length - old.times.length;
    const [before, next] = [hour - 1, hour + 1].map((own) => this.#tables.chunk(point, own));
    const hours: [number, Column][] = [[hour, column]];
    // Late readings at the end of an hour change how the next one begins.
    if (next !== undefined && next.times.length > 0) hours.push([hour + 1, next]);
    // Of a slow point the stretch to its next reading is much of the hour before.
    if (slowMs > 0 && before !== undefined && before.times.length > 0)
      hours.unshift([hour - 1, before]);
    const columnOf = (own: number): Column =>
      hours.find(([known]) => known === own)?.[1] ?? this.#tables.chunk(point, own);
    for (const [own, of] of hours) {
      const sinceMs = own * HOUR_MS - Math.max(GAP_MOST_MS, slowMs);
      const lead = lastOf(columnOf(own - 1), sinceMs);
      const after = slowMs > 0 ? firstOf(columnOf(own + 1)) : null;
      this.#prepareMinutes(prepared, keyOf(own, point), of, { slowMs, before: lead, after });
    }
  }

  /** Writes all of it, and `also`, in one transaction; returns once it is on the disk. */
  write(prepared: Prepared, also: () => void = () => {}): void {
    this.#db
      .transaction(() => {
        this.#writeChunks(prepared.chunks);
        for (const { key, packed } of prepared.minutes) this.#setMinutes.run(key, packed);
        for (const key of prepared.unfolded) this.#setUnfolded.run(key);
        this.addToMark('readings', prepared.added);
        also();
      })
      .immediate();
  }

  addToMark(name: string, more: number): void {
    if (more !== 0) this.#addToMark.run(name, more);
  }

  #prepareMinutes(
    prepared: Prepared,
    key: number,
    column: Column,
    { slowMs, before, after }: { slowMs: number; before: Before; after: Before },
  ): void {
    const fromMs = spanOf(key) * HOUR_MS;
    const minutes = new Accumulator(fromMs, MINUTES.widthMs, 60);
    minutes.addColumn(column, 0, gapLimitMs(column.times, slowMs), before, after);
    prepared.minutes.push({ key, packed: sealed(packRollups(minutes, MINUTES.effort), key) });
    prepared.unfolded.add(keyOf(Math.floor(fromMs / DAY_MS), pointOf(key)));
  }

  #writeChunks(chunks: readonly PreparedChunk[]): void {
    const hours = new Map<number, Map<string, number>>();
    const replaced = new Set<number>();
    for (const { key, times, readings, packed, isNew } of chunks) {
      const hour = spanOf(key);
      let known = hours.get(hour);
      if (known === undefined) hours.set(hour, (known = this.#timesIn(hour)));
      this.#setChunk.run(key, this.#keyOfTimes(known, hour, times), readings, packed);
      if (!isNew) replaced.add(hour);
    }
    for (const hour of replaced) {
      const [from, to] = [keyOf(hour, 0), keyOf(hour + 1, 0)];
      this.#dropTimes.run(from, to, from, to);
    }
  }

  /** Keys of the instants of an hour by what they say. */
  #timesIn(hour: number): Map<string, number> {
    const rows = this.#timesOf.all(keyOf(hour, 0), keyOf(hour + 1, 0));
    return new Map(
      rows.map(({ key, packed }) => [
        packed.subarray(0, packed.length - 4).toString('latin1'),
        key,
      ]),
    );
  }

  #keyOfTimes(known: Map<string, number>, hour: number, times: Uint8Array): number {
    const text = Buffer.from(times).toString('latin1');
    const found = known.get(text);
    if (found !== undefined) return found;
    const key = Math.max(keyOf(hour, 0) - 1, ...known.values()) + 1;
    this.#setTimes.run(key, sealed(times, key));
    known.set(text, key);
    return key;
  }
}
