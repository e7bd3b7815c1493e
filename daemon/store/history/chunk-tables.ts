/**
 * Reads chunks, minutes and wider rollups out of one connection to `history.db`, the writer's or a
 * reader's. A blob whose checksum does not match counts as absent, and is counted.
 */
import type { Database, Statement } from 'better-sqlite3';
import { DamagedBytes } from './bytes.ts';
import { type Column, EMPTY_COLUMN, unpackTimes, unpackValues } from './chunk.ts';
import type { Clip } from './history.ts';
import type { Accumulator } from './rollup.ts';
import { unpackRollups } from './rollup-blob.ts';
import { unsealed } from './sealed.ts';
import { HOUR_MS, keyOf, spanOf } from './tables.ts';
import { MINUTES, type Tier } from './tiers.ts';

interface ChunkRow {
  times: number;
  readings: number;
  packed: Buffer;
  packedTimes: Buffer | null;
}

export class ChunkTables {
  readonly db: Database;
  readonly #onDamage: () => void;
  readonly #chunk: Statement<[number], ChunkRow>;
  readonly #blobs: Record<Tier['table'], Statement<[number], Buffer>>;
  readonly #isUnfolded: Statement<[number], number>;
  readonly #numberOf: Statement<[string], number>;
  readonly #mark: Statement<[string], number>;
  readonly #oldRows: Statement<[number, number, number], [number, number | string]>;
  readonly #oldSpan: Statement<[], [number | null, number | null]>;
  readonly #clips: Statement<[number, number, number], Clip>;
  readonly #hours: Statement<[], [number | null, number | null]>;
  readonly #numbers = new Map<string, number>();

  /** `onDamage` hears of every blob that has changed on the disk. */
  constructor(db: Database, onDamage: () => void) {
    this.db = db;
    this.#onDamage = onDamage;
    this.#chunk = db.prepare(
      `SELECT chunk.times, readings, chunk.packed, times.packed AS packedTimes
       FROM chunk LEFT JOIN times ON times.key = chunk.times WHERE chunk.key = ?`,
    );
    const blob = (table: string): Statement<[number], Buffer> =>
      db.prepare<[number], Buffer>(`SELECT packed FROM ${table} WHERE key = ?`).pluck();
    this.#blobs = {
      minutes: blob('minutes'),
      quarters: blob('quarters'),
      hours: blob('hours'),
      days: blob('days'),
    };
    this.#isUnfolded = db.prepare<[number], number>('SELECT 1 FROM unfolded WHERE key = ?').pluck();
    this.#numberOf = db.prepare<[string], number>('SELECT number FROM point WHERE id = ?').pluck();
    this.#mark = db.prepare<[string], number>('SELECT value FROM mark WHERE name = ?').pluck();
    this.#oldRows = db
      .prepare<[number, number, number], [number, number | string]>(
        'SELECT at_ms, value FROM reading WHERE at_ms >= ? AND at_ms < ? AND point = ? ORDER BY at_ms',
      )
      .raw();
    this.#oldSpan = db
      .prepare<[], [number | null, number | null]>(
        'SELECT (SELECT min(at_ms) FROM reading WHERE at_ms >= 0), (SELECT max(at_ms) FROM reading WHERE at_ms >= 0)',
      )
      .raw();
    this.#clips = db.prepare(
      `SELECT from_ms AS fromMs, to_ms AS toMs, at_ms AS atMs, about FROM clip
       WHERE to_ms > ? AND from_ms < ? ORDER BY at_ms, about LIMIT ?`,
    );
    // Two questions, because SQLite answers least and greatest from the index only one at a time.
    this.#hours = db
      .prepare<[], [number | null, number | null]>(
        'SELECT (SELECT min(key) FROM minutes), (SELECT max(key) FROM minutes)',
      )
      .raw();
  }

  /** The point's number; null for one that was never kept. */
  numberOf(pointId: string): number | null {
    const known = this.#numbers.get(pointId) ?? this.#numberOf.get(pointId);
    if (known === undefined) return null;
    this.#numbers.set(pointId, known);
    return known;
  }

  points(): string[] {
    return this.db.prepare<[], string>('SELECT id FROM point ORDER BY id').pluck().all();
  }

  chunk(point: number, hour: number): Column {
    const key = keyOf(hour, point);
    const row = this.#chunk.get(key);
    if (row === undefined) return EMPTY_COLUMN;
    return this.#undamaged(EMPTY_COLUMN, () => {
      if (row.packedTimes === null) throw new DamagedBytes('the instants are gone');
      const times = unpackTimes(unsealed(row.packedTimes, row.times), hour * HOUR_MS);
      if (times.length !== row.readings)
        throw new DamagedBytes('the instants are of another chunk');
      return { times, values: unpackValues(unsealed(row.packed, key), times.length) };
    });
  }

  minutes(point: number, hour: number): Accumulator | null {
    return this.rollups(MINUTES, point, hour);
  }

  /** Rows of one blob; null where there is none. `span` counts the tier's spans since 1970. */
  rollups(tier: Tier, point: number, span: number): Accumulator | null {
    const key = keyOf(span, point);
    const packed = this.#blobs[tier.table].get(key);
    if (packed === undefined) return null;
    const { spanMs, widthMs } = tier;
    return this.#undamaged(null, () =>
      unpackRollups(unsealed(packed, key), span * spanMs, widthMs, spanMs / widthMs),
    );
  }

  /** Whether the wider tiers do not yet know all of the minutes of that day. */
  isUnfolded(point: number, day: number): boolean {
    return this.#isUnfolded.get(keyOf(day, point)) === 1;
  }

  /** 0 for one that was never set. */
  mark(name: string): number {
    return this.#mark.get(name) ?? 0;
  }

  /** Readings of the table of an older version. */
  oldColumn(point: number, hour: number): Column {
    const rows = this.#oldRows.all(hour * HOUR_MS, (hour + 1) * HOUR_MS, point);
    return { times: rows.map(([atMs]) => atMs), values: rows.map(([, value]) => value) };
  }

  /** First and last instant in the table of an older version; null when it is empty. */
  oldSpan(): [firstMs: number, lastMs: number] | null {
    const [firstMs, lastMs] = this.#oldSpan.get() ?? [null, null];
    return firstMs === null || lastMs === null ? null : [firstMs, lastMs];
  }

  clips(fromMs: number, toMs: number, limit: number): Clip[] {
    return this.#clips.all(fromMs, toMs, limit);
  }

  /** First and last hour of which minutes are kept; null without any. */
  hours(): [first: number, last: number] | null {
    const [first, last] = this.#hours.get() ?? [null, null];
    return first === null || last === null ? null : [spanOf(first), spanOf(last)];
  }

  #undamaged<Result>(otherwise: Result, unpack: () => Result): Result {
    try {
      return unpack();
    } catch (error) {
      if (!(error instanceof DamagedBytes)) throw error;
      this.#onDamage();
      return otherwise;
    }
  }
}

const BLOB_TABLES: ReadonlySet<string> = new Set([
  'chunk',
  'times',
  'minutes',
  'quarters',
  'hours',
  'days',
]);

/** Whether a row of a broken file says what was written: its checksum matches. */
export function isSoundRow(table: string, row: Readonly<Record<string, unknown>>): boolean {
  if (!BLOB_TABLES.has(table)) return true;
  const { key, packed } = row;
  if (typeof key !== 'number' || !(packed instanceof Uint8Array)) return false;
  try {
    unsealed(packed, key);
    return true;
  } catch (error) {
    if (!(error instanceof DamagedBytes)) throw error;
    return false;
  }
}
