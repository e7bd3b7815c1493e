/**
 * Takes over from a broken file what can still be read, row by row, into the new file in its
 * place. Damage to one page hides the rows behind it from a walk in one direction only, so each
 * table is walked from both ends and across the gap.
 */
import Database from 'better-sqlite3';
import {
  closeSync,
  copyFileSync,
  existsSync,
  openSync,
  rmSync,
  statSync,
  writeSync,
} from 'node:fs';
import { closeQuietly, codeOf } from './store-problem.ts';

/** Looks into a row before it is taken: false if the disk has changed what it says. */
export type IsSound = (table: string, row: Readonly<Record<string, unknown>>) => boolean;

export interface Salvaged {
  /** Rows taken over. */
  rows: number;
  /** Tables that could not be walked from one end to the other. */
  damagedTables: string[];
}

/** Leaps over damaged pages, each twice as far as the one before it. */
const LEAPS_MAX = 54;
/** Gives up on a table after so many damaged places. */
const PLACES_MAX = 1000;

/**
 * Copies what can be read of `brokenPath` (with its write-ahead log beside it) into `fresh`, whose
 * tables are up to date. Never throws for what is broken; what SQLite says about `fresh` it throws.
 */
export function salvage(brokenPath: string, fresh: Database.Database, isSound: IsSound): Salvaged {
  const straight = salvageFrom(brokenPath, fresh, isSound);
  if (straight !== null) return straight;
  const mended = `${brokenPath}-mended`;
  try {
    const outcome = mend(brokenPath, mended, fresh) ? salvageFrom(mended, fresh, isSound) : null;
    return outcome ?? { rows: 0, damagedTables: tablesOf(fresh) };
  } finally {
    for (const suffix of ['', '-wal', '-shm']) rmSync(mended + suffix, { force: true });
  }
}

/** Null if not even the list of tables can be read. */
function salvageFrom(path: string, fresh: Database.Database, isSound: IsSound): Salvaged | null {
  let broken: Database.Database | undefined;
  try {
    broken = new Database(path, { readonly: true, timeout: 2000 });
    const present = new Set(tablesOf(broken));
    const outcome: Salvaged = { rows: 0, damagedTables: [] };
    for (const table of tablesOf(fresh)) {
      if (!present.has(table)) continue;
      const copy = new TableCopy(broken, fresh, table, isSound);
      fresh.transaction(() => copy.run()).immediate();
      outcome.rows += copy.rows;
      if (copy.isDamaged) outcome.damagedTables.push(table);
    }
    return outcome;
  } catch (error) {
    if (isDamage(error) || codeOf(error).startsWith('SQLITE_CANTOPEN')) return null;
    throw error;
  } finally {
    closeQuietly(broken);
  }
}

function tablesOf(db: Database.Database): string[] {
  return db
    .prepare<[], string>(
      "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite%' ORDER BY rowid",
    )
    .pluck()
    .all();
}

type Row = Record<string, unknown>;

/** One table's rows from the broken file to the fresh one. */
class TableCopy {
  readonly #broken: Database.Database;
  readonly #table: string;
  readonly #isSound: IsSound;
  readonly #columns: readonly string[];
  readonly #insert: Database.Statement;
  rows = 0;
  isDamaged = false;

  constructor(
    broken: Database.Database,
    fresh: Database.Database,
    table: string,
    isSound: IsSound,
  ) {
    this.#broken = broken;
    this.#table = table;
    this.#isSound = isSound;
    // An older file lacks the columns that came later; they have their defaults.
    const there = new Set(columnsOf(broken, table));
    this.#columns = columnsOf(fresh, table).filter((name) => there.has(name));
    const marks = this.#columns.map(() => '?').join(', ');
    this.#insert = fresh.prepare(
      `INSERT OR IGNORE INTO ${table} (${this.#columns.join(', ')}) VALUES (${marks})`,
    );
  }

  run(): void {
    const key = keyOf(this.#broken, this.#table);
    if (key === null) {
      // Its key has several columns: no leaping, only from both ends.
      this.#walk(null, 'ASC');
      if (this.isDamaged) this.#walk(null, 'DESC');
      return;
    }
    let from: number | null = null;
    for (let place = 0; place < PLACES_MAX; place += 1) {
      const last = this.#walk({ key, from }, 'ASC');
      if (last === 'end') return;
      from = this.#beyond(key, last ?? from ?? 0);
      if (from === null) break;
    }
    this.#walk({ key, from: null }, 'DESC');
  }

  /** Takes rows until the end or damage; gives the last key before the damage. */
  #walk(
    start: { key: string; from: number | null } | null,
    order: 'ASC' | 'DESC',
  ): number | 'end' | null {
    let last: number | null = null;
    try {
      for (const row of this.#rows(start, order)) {
        const at = start === null ? null : row['__key'];
        if (typeof at === 'number') last = at;
        this.#take(row);
      }
      return 'end';
    } catch (error) {
      if (!isDamage(error)) throw error;
      this.isDamaged = true;
      return last;
    }
  }

  #rows(
    start: { key: string; from: number | null } | null,
    order: 'ASC' | 'DESC',
  ): IterableIterator<Row> {
    if (start === null) {
      const by = primaryKeyOf(this.#broken, this.#table).map((name) => `${name} ${order}`);
      const sql = `SELECT * FROM ${this.#table} ORDER BY ${by.join(', ')}`;
      return this.#broken.prepare<[], Row>(sql).iterate();
    }
    const sql = `SELECT ${start.key} AS __key, * FROM ${this.#table} WHERE ${start.key} >= ? ORDER BY ${start.key} ${order}`;
    return this.#broken.prepare<[number], Row>(sql).iterate(start.from ?? -(2 ** 53));
  }

  #take(row: Row): void {
    if (!this.#isSound(this.#table, row)) {
      this.isDamaged = true;
      return;
    }
    try {
      const { changes } = this.#insert.run(...this.#columns.map((name) => row[name]));
      this.rows += changes;
    } catch (error) {
      // A value that the table does not allow was never written like that.
      if (!codeOf(error).startsWith('SQLITE_CONSTRAINT')) throw error;
      this.isDamaged = true;
    }
  }

  /** The first key after `last` from which rows can be read again. */
  #beyond(key: string, last: number): number | null {
    const probe = this.#broken
      .prepare<[number], number>(
        `SELECT ${key} FROM ${this.#table} WHERE ${key} >= ? ORDER BY ${key} LIMIT 1`,
      )
      .pluck();
    for (let leap = 0; leap < LEAPS_MAX; leap += 1) {
      const from = last + 2 ** leap;
      if (!Number.isSafeInteger(from)) return null;
      try {
        return probe.get(from) === undefined ? null : from;
      } catch (error) {
        if (!isDamage(error)) throw error;
      }
    }
    return null;
  }
}

function isDamage(error: unknown): boolean {
  return /^SQLITE_(CORRUPT|NOTADB|IOERR)/.test(codeOf(error));
}

interface Column {
  name: string;
  pk: number;
}

function describe(db: Database.Database, table: string): Column[] {
  return db.prepare<[string], Column>('SELECT name, pk FROM pragma_table_info(?)').all(table);
}

const columnsOf = (db: Database.Database, table: string): string[] =>
  describe(db, table).map(({ name }) => name);

const primaryKeyOf = (db: Database.Database, table: string): string[] =>
  describe(db, table)
    .filter(({ pk }) => pk > 0)
    .sort((a, b) => a.pk - b.pk)
    .map(({ name }) => name);

/** `rowid` where the table has one. */
function keyOf(db: Database.Database, table: string): string | null {
  try {
    db.prepare(`SELECT rowid FROM ${table} LIMIT 1`);
    return 'rowid';
  } catch (error) {
    if (codeOf(error) !== 'SQLITE_ERROR') throw error;
    return null;
  }
}

/**
 * Makes a copy of a file whose first sector is broken, with that of the fresh file in its place: it
 * holds where each table begins, which is the same in two files whose tables were made the same
 * way. The offsets are those of the database file format, section 1.3. False if that cannot be.
 */
function mend(brokenPath: string, copyPath: string, fresh: Database.Database): boolean {
  try {
    copyFileSync(brokenPath, copyPath);
    if (existsSync(`${brokenPath}-wal`)) copyFileSync(`${brokenPath}-wal`, `${copyPath}-wal`);
    const sector = fresh.serialize().subarray(0, 512);
    const pageBytes = sector.readUInt16BE(16);
    sector.writeUInt32BE(Math.floor(statSync(copyPath).size / pageBytes), 28);
    const file = openSync(copyPath, 'r+');
    writeSync(file, sector, 0, sector.length, 0);
    closeSync(file);
    return true;
  } catch {
    // No room for a copy, or the file cannot be read: then there is nothing to be had here.
    return false;
  }
}
