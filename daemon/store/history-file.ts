/**
 * Writes readings to `history.db`. The file may fail, break or be away for a while without anybody
 * but the health page noticing: it is opened again at the next try.
 */
import type { Database } from 'better-sqlite3';
import { HISTORY_APPLICATION_ID, HISTORY_MIGRATIONS } from './migrations.ts';
import type { StoredReading } from './reading-buffer.ts';
import { closeQuietly, type FileDescription, openFile } from './sqlite-file.ts';
import { isCorruption, isOperatingError, messageOf } from './store-problem.ts';

/** A check reads the whole file, and starting must not wait minutes for years of history. */
const CHECKED_BYTES_MAX = 64 * 1024 * 1024;

export function historyFile(path: string): FileDescription {
  return {
    path,
    applicationId: HISTORY_APPLICATION_ID,
    migrations: HISTORY_MIGRATIONS,
    pragmas: [
      'journal_mode = WAL',
      // One sync a commit; the ten seconds between commits spare the card, not a weaker mode.
      'synchronous = FULL',
      'journal_size_limit = 8388608',
      'cache_size = -8000',
      'cell_size_check = ON',
      'temp_store = MEMORY',
    ],
    checkedBytesMax: CHECKED_BYTES_MAX,
    faultIn: (db) => {
      prepareWriter(db);
      return null;
    },
  };
}

export class HistoryFile {
  readonly #file: FileDescription;
  readonly #onProblem: (sentence: string) => void;
  #open: Writer | null = null;
  /** What the disk said last, while it refuses. */
  lastError: string | null = null;

  constructor(path: string, onProblem: (sentence: string) => void) {
    this.#file = historyFile(path);
    this.#onProblem = onProblem;
  }

  /** True once `readings` and the witness are on the disk; else `lastError` says why not. */
  write(readings: readonly StoredReading[], lastAlertSeq: number): boolean {
    return this.#attempt((writer) => writer.write(readings, lastAlertSeq)) !== null;
  }

  /** Last alert event that was seen on the disk when readings were written; null: not known. */
  witnessedSeq(): number | null {
    return this.#attempt((writer) => writer.witnessedSeq() ?? 0);
  }

  close(): void {
    closeQuietly(this.#open?.db);
    this.#open = null;
  }

  #attempt<Result>(work: (writer: Writer) => Result): Result | null {
    try {
      this.#open ??= this.#openNow();
      const result = work(this.#open);
      this.lastError = null;
      return result;
    } catch (error) {
      if (!isOperatingError(error)) throw error;
      this.lastError = `history.db: ${messageOf(error)}`;
      // Opening it again checks it, and sets it aside if it is broken.
      if (isCorruption(error)) this.close();
      return null;
    }
  }

  #openNow(): Writer {
    const { db, setAside } = openFile(this.#file);
    if (setAside !== null) this.#onProblem(`The history of readings was lost: ${setAside}`);
    return prepareWriter(db);
  }
}

interface Writer {
  db: Database;
  write(readings: readonly StoredReading[], lastAlertSeq: number): void;
  witnessedSeq(): number | undefined;
}

function prepareWriter(db: Database): Writer {
  const numberOf = db.prepare<[string], number>('SELECT number FROM point WHERE id = ?').pluck();
  const addPoint = db
    .prepare<[string], number>('INSERT INTO point (id) VALUES (?) RETURNING number')
    .pluck();
  // A duplicate is one reading told twice; the first stands.
  const addReading = db.prepare<[number, number, number | string]>(
    'INSERT INTO reading (at_ms, point, value) VALUES (?, ?, ?) ON CONFLICT DO NOTHING',
  );
  const witness = db.prepare<[number]>(
    `INSERT INTO alert_witness (one, last_seq) VALUES (1, ?)
     ON CONFLICT (one) DO UPDATE SET last_seq = excluded.last_seq`,
  );
  const witnessed = db.prepare<[], number>('SELECT last_seq FROM alert_witness').pluck();
  const writeAll = (readings: readonly StoredReading[], lastAlertSeq: number): void => {
    const numbers = new Map<string, number>();
    for (const { pointId, atMs, value } of readings) {
      const number = numbers.get(pointId) ?? numberOf.get(pointId) ?? addPoint.get(pointId);
      if (number === undefined) throw new Error(`no number for point ${pointId}`);
      numbers.set(pointId, number);
      addReading.run(atMs, number, value);
    }
    if (witnessed.get() !== lastAlertSeq) witness.run(lastAlertSeq);
  };
  const transaction = db.transaction(writeAll);
  return {
    db,
    write: (readings, lastAlertSeq) => transaction.immediate(readings, lastAlertSeq),
    witnessedSeq: () => witnessed.get(),
  };
}
