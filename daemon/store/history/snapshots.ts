/**
 * Connections for reading. Each question gets one with a view of its own, so that what is written
 * meanwhile neither doubles nor goes missing; a few are kept open, because opening one takes longer
 * than most answers.
 */
import Database from 'better-sqlite3';
import { existsSync } from 'node:fs';
import { ChunkTables } from './chunk-tables.ts';

const IDLE_MAX = 2;
const BUSY_TIMEOUT_MS = 2000;

export interface Snapshot {
  tables: ChunkTables;
  release(): void;
}

export class Snapshots {
  readonly #path: string;
  readonly #onDamage: () => void;
  #idle: ChunkTables[] = [];
  /** Of the connections that were open when the file was last replaced. */
  #era = 0;

  constructor(path: string, onDamage: () => void) {
    this.#path = path;
    this.#onDamage = onDamage;
  }

  /** The file as it is now; null if there is none. Throws what SQLite throws. */
  take(): Snapshot | null {
    if (!existsSync(this.#path)) return null;
    const tables = this.#idle.pop() ?? this.#open();
    try {
      tables.db.exec('BEGIN');
      // The view begins with the first reading, not with BEGIN.
      tables.mark('');
    } catch (error) {
      tables.db.close();
      throw error;
    }
    const era = this.#era;
    return { tables, release: () => this.#release(tables, era) };
  }

  /** The file is another one from now on, or none. */
  forget(): void {
    this.#era += 1;
    for (const { db } of this.#idle) db.close();
    this.#idle = [];
  }

  #open(): ChunkTables {
    const db = new Database(this.#path, { readonly: true, timeout: BUSY_TIMEOUT_MS });
    try {
      return new ChunkTables(db, this.#onDamage);
    } catch (error) {
      db.close();
      throw error;
    }
  }

  #release(tables: ChunkTables, era: number): void {
    if (era === this.#era && this.#idle.length < IDLE_MAX) {
      tables.db.exec('COMMIT');
      this.#idle.push(tables);
    } else {
      tables.db.close();
    }
  }
}
