/**
 * Deletes single readings by age and by size, an hour of all points at a time, oldest first. Clips
 * stay: a chunk that touches one is cut down to it. Minutes and wider rollups are never deleted.
 * The file does not shrink; its free pages are used again.
 */
import type { Database, Statement } from 'better-sqlite3';
import { type Column, packTimes, packValues } from './chunk.ts';
import type { ChunkTables } from './chunk-tables.ts';
import { ClipSpans } from './clips.ts';
import type { Retention } from './history.ts';
import { sealed } from './sealed.ts';
import { DAY_MS, HOUR_MS, keyOf, pointOf, spanOf } from './tables.ts';

/** Hours before this one have been pruned. */
export const PRUNED_HOUR = 'pruned before hour';
export const READINGS_PRUNED = 'readings pruned';

/** What limits it at this moment. */
export interface Limits {
  retention: Retention;
  nowMs: number;
  /** Null while nobody vouches for the wall clock: then nothing is deleted by age. */
  presentMsOf: ((storedMs: number) => number) | null;
  /** The disk is nearly full: so much room inside the file is kept free, for what will come. */
  isDiskScarce: boolean;
}

/** Weeks of readings find room in it. */
const ROOM_BYTES = 8 * 1024 * 1024;

export class Pruning {
  readonly #tables: ChunkTables;
  readonly #clips: ClipSpans;
  readonly #oldest: Statement<[number], number>;
  readonly #keys: Statement<[number, number], [key: number, readings: number]>;
  readonly #drop: Statement<[number]>;
  readonly #dropTimes: Statement<[number, number]>;
  readonly #setTimes: Statement<[number, Buffer]>;
  readonly #setChunk: Statement<[number, Buffer, number, number]>;
  readonly #mark: Statement<[string, number]>;

  constructor(tables: ChunkTables) {
    const { db } = tables;
    this.#tables = tables;
    this.#clips = new ClipSpans(db);
    this.#oldest = db
      .prepare<[number], number>('SELECT key FROM chunk WHERE key >= ? ORDER BY key LIMIT 1')
      .pluck();
    this.#keys = db
      .prepare<[number, number], [number, number]>(
        'SELECT key, readings FROM chunk WHERE key >= ? AND key < ?',
      )
      .raw();
    this.#drop = db.prepare('DELETE FROM chunk WHERE key = ?');
    this.#dropTimes = db.prepare('DELETE FROM times WHERE key >= ? AND key < ?');
    this.#setTimes = db.prepare('INSERT INTO times (key, packed) VALUES (?, ?)');
    this.#setChunk = db.prepare(
      'UPDATE chunk SET times = ?, packed = ?, readings = ? WHERE key = ?',
    );
    this.#mark = db.prepare(
      'INSERT INTO mark (name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value',
    );
  }

  /** Deletes what is due, in slices of an hour, each a transaction. */
  *run(limits: Limits): Generator<void> {
    for (let hour = this.#oldestHour(); hour !== null; hour = this.#oldestHour()) {
      if (!this.#isTooOld(hour, limits) && !this.#isTooMuch(hour, limits)) return;
      this.#prune(hour);
      yield;
    }
  }

  #oldestHour(): number | null {
    const key = this.#oldest.get(keyOf(this.#tables.mark(PRUNED_HOUR), 0));
    return key === undefined ? null : spanOf(key);
  }

  #isTooOld(hour: number, { retention, nowMs, presentMsOf }: Limits): boolean {
    if (presentMsOf === null) return false;
    return presentMsOf((hour + 1) * HOUR_MS) <= nowMs - retention.ageMs;
  }

  #isTooMuch(hour: number, { retention, nowMs, isDiskScarce }: Limits): boolean {
    if ((hour + 1) * HOUR_MS > nowMs - DAY_MS) return false;
    const { usedBytes, freeBytes } = spaceIn(this.#tables.db);
    return usedBytes > retention.bytes || (isDiskScarce && freeBytes < ROOM_BYTES);
  }

  #prune(hour: number): void {
    const spans = this.#clips.within(hour * HOUR_MS, (hour + 1) * HOUR_MS);
    this.#tables.db
      .transaction(() => {
        const rows = this.#keys.all(keyOf(hour, 0), keyOf(hour + 1, 0));
        const cut = spans.length === 0 ? [] : rows.map(([key]) => this.#cut(key, spans));
        this.#dropTimes.run(keyOf(hour, 0), keyOf(hour + 1, 0));
        let gone = 0;
        for (const [at, [key, readings]] of rows.entries()) {
          const column = cut[at];
          gone += readings - (column?.times.length ?? 0);
          if (column === undefined || column.times.length === 0) this.#drop.run(key);
          // Keys below 65,536 are as many as there are points; each gets instants of its own.
          else this.#keep(key, keyOf(hour, at), column);
        }
        this.#mark.run(PRUNED_HOUR, hour + 1);
        this.#mark.run(READINGS_PRUNED, this.#tables.mark(READINGS_PRUNED) + gone);
        this.#mark.run('readings', this.#tables.mark('readings') - gone);
      })
      .immediate();
  }

  #cut(key: number, spans: readonly [number, number][]): Column {
    const { times, values } = this.#tables.chunk(pointOf(key), spanOf(key));
    const kept: { times: number[]; values: (number | string)[] } = { times: [], values: [] };
    for (let at = 0; at < times.length; at++) {
      const atMs = times[at] ?? 0;
      if (!spans.some(([from, to]) => atMs >= from && atMs < to)) continue;
      kept.times.push(atMs);
      kept.values.push(values[at] ?? 0);
    }
    return kept;
  }

  #keep(key: number, timesKey: number, { times, values }: Column): void {
    const instants = packTimes(times, spanOf(key) * HOUR_MS, 'long');
    this.#setTimes.run(timesKey, sealed(instants, timesKey));
    this.#setChunk.run(timesKey, sealed(packValues(values, 'long'), key), times.length, key);
  }
}

/** Bytes of pages in use and of free pages inside an open file. */
export function spaceIn(db: Database): { usedBytes: number; freeBytes: number } {
  const pragma = (name: string): number => Number(db.pragma(name, { simple: true }));
  const freeBytes = pragma('freelist_count') * pragma('page_size');
  return { usedBytes: pragma('page_count') * pragma('page_size') - freeBytes, freeBytes };
}
