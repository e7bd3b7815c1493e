/**
 * Surveys of hours and days that are over, in a file of their own. All of it can be made again from
 * the history, as long as that has the readings; so it is in no backup, and a broken one is deleted.
 * A row counts only under the key it was kept with, which names all that it depends on.
 */
import Database from 'better-sqlite3';
import { rmSync } from 'node:fs';
import { deflateRawSync, inflateRawSync } from 'node:zlib';
import type { BoatPiece } from '../../rules/index.ts';

const VERSION = 1;
const TABLE = `CREATE TABLE IF NOT EXISTS survey (
  width_ms INTEGER NOT NULL, from_ms INTEGER NOT NULL, key TEXT NOT NULL, packed BLOB NOT NULL,
  PRIMARY KEY (width_ms, from_ms)) STRICT, WITHOUT ROWID`;

export interface Kept {
  widthMs: number;
  fromMs: number;
  key: string;
}

export class SurveyCache {
  readonly #path: string;
  #db: Database.Database | null;
  /** In place of a file that cannot be had. */
  readonly #memory = new Map<string, BoatPiece>();

  constructor(path: string) {
    this.#path = path;
    this.#db = opened(path);
  }

  get({ widthMs, fromMs, key }: Kept): BoatPiece | null {
    const inMemory = this.#memory.get(nameOf({ widthMs, fromMs, key }));
    if (inMemory !== undefined) return inMemory;
    return this.#try((db) => {
      const packed = db
        .prepare<[number, number, string], Buffer>(
          'SELECT packed FROM survey WHERE width_ms = ? AND from_ms = ? AND key = ?',
        )
        .pluck()
        .get(widthMs, fromMs, key);
      if (packed === undefined) return null;
      const piece: BoatPiece = JSON.parse(inflateRawSync(packed).toString('utf8'));
      this.#remember(nameOf({ widthMs, fromMs, key }), piece);
      return piece;
    });
  }

  /** Whether it is kept, without reading it. */
  has({ widthMs, fromMs, key }: Kept): boolean {
    if (this.#memory.has(nameOf({ widthMs, fromMs, key }))) return true;
    const sql = 'SELECT 1 FROM survey WHERE width_ms = ? AND from_ms = ? AND key = ?';
    return this.#try((db) => db.prepare(sql).get(widthMs, fromMs, key) !== undefined) ?? false;
  }

  /** What the disk refuses is remembered for a while all the same. */
  set(kept: Kept, piece: BoatPiece): void {
    this.#remember(nameOf(kept), piece);
    const packed = deflateRawSync(JSON.stringify(piece));
    this.#try((db) =>
      db
        .prepare(
          'INSERT OR REPLACE INTO survey (width_ms, from_ms, key, packed) VALUES (?, ?, ?, ?)',
        )
        .run(kept.widthMs, kept.fromMs, kept.key, packed),
    );
  }

  /** Forgets pieces of that width from before an instant. */
  drop(widthMs: number, beforeMs: number): void {
    this.#try((db) =>
      db.prepare('DELETE FROM survey WHERE width_ms = ? AND from_ms < ?').run(widthMs, beforeMs),
    );
  }

  close(): void {
    this.#db?.close();
    this.#db = null;
  }

  #remember(name: string, piece: BoatPiece): void {
    this.#memory.set(name, piece);
    if (this.#memory.size <= MEMORY_MAX) return;
    const [oldest] = this.#memory.keys();
    if (oldest !== undefined) this.#memory.delete(oldest);
  }

  /** Whatever is wrong with the file, there is the history: null, and a broken file goes. */
  #try<Result>(work: (db: Database.Database) => Result): Result | null {
    if (this.#db === null) return null;
    try {
      return work(this.#db);
    } catch (error) {
      if (isBroken(error)) {
        this.close();
        remove(this.#path);
        this.#db = opened(this.#path);
      }
      return null;
    }
  }
}

/** Pieces in memory: two days of hours and the days of a month. */
const MEMORY_MAX = 80;

const nameOf = ({ widthMs, fromMs, key }: Kept): string => `${widthMs} ${fromMs} ${key}`;

function opened(path: string): Database.Database | null {
  for (const isLastTry of [false, true]) {
    try {
      return prepared(new Database(path));
    } catch {
      // A disk that refuses leaves us without a file; a broken file makes room for a new one.
      if (isLastTry) return null;
      remove(path);
    }
  }
  return null;
}

function prepared(db: Database.Database): Database.Database {
  try {
    db.pragma('journal_mode = WAL');
    // What a power cut takes is surveyed again.
    db.pragma('synchronous = NORMAL');
    if (db.pragma('user_version', { simple: true }) !== VERSION) {
      db.exec('DROP TABLE IF EXISTS survey');
      db.pragma(`user_version = ${VERSION}`);
    }
    db.exec(TABLE);
    return db;
  } catch (error) {
    db.close();
    throw error;
  }
}

function isBroken(error: unknown): boolean {
  if (!(error instanceof Database.SqliteError)) return true;
  return error.code.startsWith('SQLITE_CORRUPT') || error.code === 'SQLITE_NOTADB';
}

function remove(path: string): void {
  try {
    for (const end of ['', '-wal', '-shm']) rmSync(`${path}${end}`, { force: true });
  } catch {
    // A disk that can only be read: the cache stays closed.
  }
}
