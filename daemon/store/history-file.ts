/**
 * The open `history.db`, for whoever writes to it. The file may fail, break or be away for a while
 * without anybody but the health page noticing: it is opened again at the next try.
 */
import type { Database } from 'better-sqlite3';
import { ChunkTables, isSoundRow } from './history/chunk-tables.ts';
import { ChunkWriter } from './history/chunk-writer.ts';
import { Folding } from './history/folding.ts';
import { OldRows } from './history/old-rows.ts';
import { Pruning } from './history/retention.ts';
import { HISTORY_APPLICATION_ID, HISTORY_MIGRATIONS } from './migrations.ts';
import { bytesOf, closeQuietly, type FileDescription, openFile } from './sqlite-file.ts';
import { isCorruption, isOperatingError, isReadOnly, messageOf } from './store-problem.ts';

/** A check reads the whole file, and starting must not wait minutes for years of history. */
const CHECKED_BYTES_MAX = 64 * 1024 * 1024;

export function historyFile(path: string): FileDescription {
  return {
    path,
    applicationId: HISTORY_APPLICATION_ID,
    migrations: HISTORY_MIGRATIONS,
    pragmas: [
      'journal_mode = WAL',
      // One sync a commit; the hour between commits spares the card, not a weaker mode.
      'synchronous = FULL',
      'journal_size_limit = 8388608',
      'cache_size = -8000',
      'cell_size_check = ON',
      'temp_store = MEMORY',
    ],
    checkedBytesMax: CHECKED_BYTES_MAX,
    isSound: isSoundRow,
    faultIn: (db) => {
      partsOf(db, () => {});
      return null;
    },
  };
}

/** What works on one open file. */
export interface HistoryParts {
  db: Database;
  tables: ChunkTables;
  writer: ChunkWriter;
  folding: Folding;
  pruning: Pruning;
  oldRows: OldRows;
  witnessedSeq(): number | undefined;
  witness(lastSeq: number): void;
}

export class HistoryFile {
  readonly #file: FileDescription;
  readonly #onProblem: (sentence: string) => void;
  readonly #onDamage: () => void;
  readonly #onReplaced: () => void;
  #open: HistoryParts | null = null;
  /** What the disk said last, while it refuses. */
  lastError: string | null = null;

  /**
   * `onProblem` hears what must stay on the health page; `onDamage` of blobs that have changed;
   * `onReplaced` when the file is closed or another one has taken its place.
   */
  constructor(
    path: string,
    onProblem: (sentence: string) => void,
    onDamage: () => void,
    onReplaced: () => void,
  ) {
    this.#file = historyFile(path);
    this.#onProblem = onProblem;
    this.#onDamage = onDamage;
    this.#onReplaced = onReplaced;
  }

  get isOpen(): boolean {
    return this.#open !== null;
  }

  get bytes(): number {
    return bytesOf(this.#file.path);
  }

  /** What `work` gives back; null if the disk refused, and then `lastError` says why. */
  use<Result>(work: (parts: HistoryParts) => Result): Result | null {
    try {
      this.#open ??= this.#openNow();
      const result = work(this.#open);
      this.lastError = null;
      return result;
    } catch (error) {
      this.refused(error);
      return null;
    }
  }

  /** Notes an operating error; throws any other. */
  refused(error: unknown): void {
    if (!isOperatingError(error)) throw error;
    this.lastError = `history.db: ${messageOf(error)}`;
    // Opening it again checks it, and sets it aside if it is broken.
    // Where it could only be read for a moment, SQLite would leave it at that.
    if (isCorruption(error) || isReadOnly(error)) this.close();
  }

  close(): void {
    closeQuietly(this.#open?.db);
    this.#open = null;
    this.#onReplaced();
  }

  #openNow(): HistoryParts {
    const { db, setAside } = openFile(this.#file);
    if (setAside !== null) this.#onProblem(`The history of readings was lost: ${setAside}`);
    this.#onReplaced();
    return partsOf(db, this.#onDamage);
  }
}

function partsOf(db: Database, onDamage: () => void): HistoryParts {
  const tables = new ChunkTables(db, onDamage);
  const writer = new ChunkWriter(tables);
  const witnessed = db.prepare<[], number>('SELECT last_seq FROM alert_witness').pluck();
  const witness = db.prepare<[number]>(
    `INSERT INTO alert_witness (one, last_seq) VALUES (1, ?)
     ON CONFLICT (one) DO UPDATE SET last_seq = excluded.last_seq`,
  );
  return {
    db,
    tables,
    writer,
    folding: new Folding(tables),
    pruning: new Pruning(tables),
    oldRows: new OldRows(tables, writer),
    witnessedSeq: () => witnessed.get(),
    witness: (lastSeq) => {
      if (witnessed.get() !== lastSeq) witness.run(lastSeq);
    },
  };
}
