/**
 * Keeps the alert record through trouble. What the disk refuses waits in memory, in order, and goes
 * with the next try; a record that breaks while running is set aside and a new one takes over. So
 * raising alerts never depends on the disk, and whoever asks learns whether it is durable.
 */
import type { Database } from 'better-sqlite3';
import type { AlertEvent } from '../../rules/alerts/alert.ts';
import type { Clock } from '../clock.ts';
import { AlertRecord, type CommitBatch, isSavedWatch, type LostEvents } from './alert-record.ts';
import { ALERTS_APPLICATION_ID, ALERTS_MIGRATIONS } from './migrations.ts';
import { EventJournal } from './event-journal.ts';
import {
  copiedStandIn,
  emptyStandIn,
  mayStandIn,
  openRecord,
  type StandIn,
} from './record-opening.ts';
import { closeQuietly, type FileDescription } from './sqlite-file.ts';
import {
  isCorruption,
  isFileError,
  isFull,
  isOperatingError,
  isReadOnly,
  messageOf,
} from './store-problem.ts';
import type { Boot } from './time-axis.ts';

/** `isDurable` is false when the disk refused; the batch then waits and is tried again. */
export type CommitResult = { isDurable: true } | { isDurable: false; problem: string };

/** Alert and panel events that wait for a disk that refuses; beyond it the oldest are lost. */
const WAITING_MAX = 10_000;

/** After a commit the log is folded into the file so soon, while it is short. */
const CHECKPOINT_AFTER_MS = 1000;

export function alertsFile(path: string): FileDescription {
  return {
    path,
    applicationId: ALERTS_APPLICATION_ID,
    migrations: ALERTS_MIGRATIONS,
    pragmas: [
      'journal_mode = WAL',
      // An alert that was told to a person must be there after a power cut.
      'synchronous = FULL',
      // A flipped bit in the log hides every commit behind it, so we keep it short ourselves.
      'wal_autocheckpoint = 0',
      'cache_size = -2000',
      'cell_size_check = ON',
      'temp_store = MEMORY',
    ],
    checkedBytesMax: Number.MAX_SAFE_INTEGER,
    salvagedBytesMax: Number.MAX_SAFE_INTEGER,
    isSound: (_table, { alert_json: alert, watch_json: watch }) =>
      (typeof alert !== 'string' || parsed(alert) !== undefined) &&
      (typeof watch !== 'string' || isSavedWatch(parsed(watch))),
    faultIn: unreadable,
  };
}

export class AlertStore {
  readonly #file: FileDescription;
  readonly #clock: Clock;
  readonly #onProblem: (sentence: string) => void;
  #db: Database;
  #record: AlertRecord;
  /** Number of the last event that was handed in, durable or waiting. */
  #lastSeq: number;
  /** Number of the last event that is on the disk. */
  #lastDurableSeq: number;
  #waiting: CommitBatch = { alertEvents: [], panelEvents: [] };
  #boots: readonly Boot[];
  #lost: LostEvents | null = null;
  #cancelCheckpoint: (() => void) | null = null;
  readonly #journal: EventJournal;
  readonly #makeRoom: () => boolean;
  /** In place of a file that cannot be had. */
  #standIn: StandIn | null = null;
  /** What the disk said last, while it refuses. */
  lastError: string | null = null;
  /** What the disk said last of the journal; null while that is well. */
  journalError: string | null = null;

  /**
   * `onProblem` hears what must stay on the health page. `makeRoom` is called when the disk is full
   * and tells whether it freed anything. Throws StoreProblem if there is no record and none can be
   * made, or if it must not be touched; a record that only cannot be written now is stood in for.
   */
  constructor(
    path: string,
    clock: Clock,
    onProblem: (sentence: string) => void,
    makeRoom: () => boolean = () => false,
  ) {
    this.#file = alertsFile(path);
    this.#journal = new EventJournal(journalPathOf(path));
    this.#clock = clock;
    this.#onProblem = onProblem;
    this.#makeRoom = makeRoom;
    this.#db = this.#openOrStandIn();
    const db = this.#db;
    this.#record = new AlertRecord(db);
    this.#boots = this.#record.boots();
    this.#lastSeq = this.#record.lastSeq();
    this.#lastDurableSeq = this.#lastSeq;
  }

  /** For reading; what still waits is not in it. */
  get record(): AlertRecord {
    return this.#record;
  }

  get lastSeq(): number {
    return this.#lastSeq;
  }

  get lastDurableSeq(): number {
    return this.#lastDurableSeq;
  }

  /** In order of their start, those that still wait included. */
  get boots(): readonly Boot[] {
    return this.#boots;
  }

  get isWaiting(): boolean {
    const { alertEvents, panelEvents, savedWatch, boots } = this.#waiting;
    if (alertEvents.length > 0 || panelEvents.length > 0) return true;
    return savedWatch !== undefined || boots !== undefined;
  }

  /** One transaction; `isDurable` once it is on the disk. Throws on a number out of order. */
  commit(batch: CommitBatch): CommitResult {
    for (const [index, { seq }] of batch.alertEvents.entries()) {
      if (seq !== this.#lastSeq + 1 + index) {
        throw new RangeError(
          `alert event ${seq} cannot follow ${this.#lastSeq + index}: the record has no gaps`,
        );
      }
    }
    this.#lastSeq += batch.alertEvents.length;
    const savedWatch = batch.savedWatch ?? this.#waiting.savedWatch;
    const boots = merged(this.#waiting.boots, batch.boots);
    this.#boots = merged(this.#boots, batch.boots) ?? [];
    this.#waiting = {
      alertEvents: [...this.#waiting.alertEvents, ...batch.alertEvents],
      panelEvents: [...this.#waiting.panelEvents, ...batch.panelEvents],
      ...(savedWatch && { savedWatch }),
      ...(boots && { boots }),
    };
    return this.retry();
  }

  /** Writes what waits, if anything does. */
  retry(): CommitResult {
    let failure = this.#isOnDisk ? null : this.#reopen();
    if (failure === null && !this.isWaiting) {
      if (this.lastError !== null) this.checkpoint();
      return { isDurable: true };
    }
    failure ??= this.#tryWrite();
    // Opened again, a record that can only be read is stood in for until it can be written.
    if (isCorruption(failure) || isReadOnly(failure)) failure = this.#reopen() ?? this.#tryWrite();
    if (isFull(failure) && this.#makeRoom()) failure = this.#tryWrite();
    if (failure === null) {
      this.lastError = null;
      this.#checkpointSoon();
      return { isDurable: true };
    }
    if (!isOperatingError(failure)) throw failure;
    this.lastError = `alerts.db: ${messageOf(failure)}`;
    this.#keepWaitingBounded();
    return {
      isDurable: false,
      problem: `The record of alerts cannot be written: ${messageOf(failure)}.`,
    };
  }

  /** Folds the write-ahead log into the file. An error is kept in `lastError`, not thrown. */
  checkpoint(): void {
    this.#cancelCheckpoint?.();
    this.#cancelCheckpoint = null;
    if (!this.#isOnDisk) return;
    try {
      this.#db.pragma('wal_checkpoint(TRUNCATE)');
      if (!this.isWaiting) this.lastError = null;
    } catch (error) {
      if (!isOperatingError(error)) throw error;
      this.lastError = `alerts.db: ${messageOf(error)}`;
    }
  }

  close(): void {
    this.retry();
    this.checkpoint();
    this.#journal.close();
    closeQuietly(this.#db);
    this.#standIn?.remove();
  }

  get #isOnDisk(): boolean {
    return this.#db.open && this.#standIn === null;
  }

  #openOrStandIn(): Database {
    try {
      return this.#openRecord();
    } catch (error) {
      const standIn = mayStandIn(error) ? copiedStandIn(this.#file) : null;
      if (standIn === null) throw error;
      this.#standIn = standIn;
      this.lastError = `alerts.db: ${messageOf(error)}`;
      return standIn.db;
    }
  }

  #openRecord(): Database {
    const { db, sentences } = openRecord(this.#file, this.#journal, this.#clock.nowMs());
    for (const sentence of sentences) this.#onProblem(sentence);
    return db;
  }

  #tryWrite(): unknown {
    try {
      this.#record.write(this.#waiting, this.#lost);
      this.#writeJournal(this.#waiting.alertEvents);
      this.#lastDurableSeq = this.#lastSeq;
      this.#waiting = { alertEvents: [], panelEvents: [] };
      this.#lost = null;
      return null;
    } catch (error) {
      return error;
    }
  }

  /** A second copy; that it cannot be made takes nothing from the first. */
  #writeJournal(events: readonly AlertEvent[]): void {
    try {
      this.#journal.append(events);
      if (events.length > 0) this.journalError = null;
    } catch (error) {
      if (!isFileError(error)) throw error;
      this.journalError = messageOf(error);
    }
  }

  /** Opens the record again, which sets a broken one aside; null when that went well. */
  #reopen(): unknown {
    const standIn = this.#standIn;
    if (standIn === null) closeQuietly(this.#db);
    try {
      this.#use(this.#openRecord());
      standIn?.remove();
      this.#standIn = null;
      this.#lastDurableSeq = this.#record.lastSeq();
      this.#forgetWhatArrived();
      // A new record knows nothing of them yet.
      if (this.#boots.length > 0) this.#waiting = { ...this.#waiting, boots: this.#boots };
      this.#noteLost('the record broke while it was open');
      return null;
    } catch (error) {
      if (standIn === null) this.#standInNow();
      return error;
    }
  }

  /** A commit whose last sync failed was refused, and can be on the disk all the same. */
  #forgetWhatArrived(): void {
    const { alertEvents, panelEvents } = this.#waiting;
    this.#waiting = {
      ...this.#waiting,
      alertEvents: alertEvents.filter(({ seq }) => seq > this.#lastDurableSeq),
      panelEvents: panelEvents.filter((event) => !this.#record.hasPanelEvent(event)),
    };
  }

  /** Whoever asks for alerts meanwhile must have an answer. */
  #standInNow(): void {
    this.#standIn = copiedStandIn(this.#file) ?? emptyStandIn(this.#file);
    this.#use(this.#standIn.db);
  }

  #use(db: Database): void {
    this.#db = db;
    this.#record = new AlertRecord(db);
  }

  #keepWaitingBounded(): void {
    const { alertEvents, panelEvents } = this.#waiting;
    if (alertEvents.length <= WAITING_MAX && panelEvents.length <= WAITING_MAX) return;
    this.#waiting = {
      ...this.#waiting,
      alertEvents: alertEvents.slice(-WAITING_MAX),
      panelEvents: panelEvents.slice(-WAITING_MAX),
    };
    this.#noteLost('more waited for the disk than memory may hold');
  }

  /** Leaves a mark in the record for the numbers between it and the first event that waits. */
  #noteLost(why: string): void {
    const firstWaiting = this.#waiting.alertEvents[0]?.seq ?? this.#lastSeq + 1;
    const firstSeq = this.#lastDurableSeq + 1;
    if (firstSeq >= firstWaiting) return;
    const lastSeq = firstWaiting - 1;
    if (this.#lost === null) this.#onProblem(`Alert events are missing from the record: ${why}.`);
    this.#lost = { firstSeq, lastSeq, notedAtMs: this.#clock.nowMs(), why };
  }

  #checkpointSoon(): void {
    this.#cancelCheckpoint ??= this.#clock.after(CHECKPOINT_AFTER_MS, () => this.checkpoint());
  }
}

/** Where the second copy of the events of a record is. */
export function journalPathOf(path: string): string {
  return path.replace(/\.db$/, '.journal');
}

/** Undefined where the disk has made the text into something else. */
function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}

/** Each boot once, a later one in place of an earlier one, in order of their start. */
function merged(
  some: readonly Boot[] | undefined,
  more: readonly Boot[] | undefined,
): readonly Boot[] | undefined {
  if (some === undefined || more === undefined) return more ?? some;
  const byNumber = new Map([...some, ...more].map((boot) => [boot.number, boot]));
  return [...byNumber.values()].sort((a, b) => a.startsAtMs - b.startsAtMs || a.number - b.number);
}

/** A sentence if the record's own content cannot be read, though SQLite finds no fault in it. */
function unreadable(db: Database): string | null {
  const record = new AlertRecord(db);
  try {
    record.loadWatch();
    return null;
  } catch (error) {
    if (error instanceof SyntaxError) return messageOf(error);
    throw error;
  }
}
