/**
 * Keeps the alert record through trouble. What the disk refuses waits in memory, in order, and goes
 * with the next try; a record that breaks while running is set aside and a new one takes over. So
 * raising alerts never depends on the disk, and whoever asks learns whether it is durable.
 */
import type { Database } from 'better-sqlite3';
import type { AlertEvent } from '../../rules/alerts/alert.ts';
import type { SavedWatch } from '../../rules/watch.ts';
import type { Clock } from '../clock.ts';
import { AlertRecord, type CommitBatch, type LostEvents } from './alert-record.ts';
import { alertsFile, journalPathOf, watchPathOf } from './alerts-file.ts';
import { EventJournal } from './event-journal.ts';
import { type ChosenWatch, KeptWatch } from './kept-watch.ts';
import {
  copiedStandIn,
  emptyStandIn,
  mayStandIn,
  openRecord,
  type StandIn,
} from './record-opening.ts';
import { Outbox } from './outbox.ts';
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
import { mergedBoots, WaitingBatch } from './waiting-batch.ts';

/** `isDurable` is false when the disk refused; the batch then waits and is tried again. */
export type CommitResult = { isDurable: true } | { isDurable: false; problem: string };

/** After a commit the log is folded into the file so soon, while it is short. */
const CHECKPOINT_AFTER_MS = 1000;

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
  readonly #waiting = new WaitingBatch();
  #boots: readonly Boot[];
  readonly outbox = new Outbox();
  #lost: LostEvents | null = null;
  #cancelCheckpoint: (() => void) | null = null;
  readonly #journal: EventJournal;
  readonly #keptWatch: KeptWatch;
  /** Of the last watch that was saved, in either copy. */
  #saveNumber = 0;
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
    this.#keptWatch = new KeptWatch(watchPathOf(path));
    this.#clock = clock;
    this.#onProblem = onProblem;
    this.#makeRoom = makeRoom;
    this.#db = this.#openOrStandIn();
    this.#record = new AlertRecord(this.#db);
    for (const sentence of this.#chooseWatch().sentences) onProblem(sentence);
    this.#boots = this.#record.boots();
    this.#lastSeq = this.#record.lastSeq();
    this.#lastDurableSeq = this.#lastSeq;
    this.outbox.load(this.#record.letters.waiting());
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
    return !this.#waiting.isEmpty;
  }

  /** What the disk said last of the second copy of the watch; null while that is well. */
  get watchCopyError(): string | null {
    return this.#keptWatch.error;
  }

  /** The watch as it was saved last, from the newer of the copies that are whole; null if none is. */
  loadWatch(): SavedWatch | null {
    return this.#keptWatch.choose(this.#record.watch).watch;
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
    this.#boots = mergedBoots(this.#boots, batch.boots) ?? [];
    this.#waiting.add(this.#withLettersCounted(batch));
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
    if (this.#waiting.keepBounded()) {
      this.#noteLost('more waited for the disk than memory may hold');
    }
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

  /** Letters are in memory from now on, whatever the disk says. Gives what is to be written. */
  #withLettersCounted(batch: CommitBatch): CommitBatch {
    const { letters = [], withdrawnLetters = [], letterMarks = [] } = batch;
    if (letters.length + withdrawnLetters.length + letterMarks.length === 0) return batch;
    const atMs = this.#clock.nowMs();
    const fresh = letters.filter(({ key }) => !this.#isKnownLetter(key));
    const dropped = this.outbox.add(fresh, atMs);
    this.outbox.withdraw(withdrawnLetters);
    for (const mark of letterMarks) this.outbox.mark(mark);
    return { ...batch, letters: fresh, letterMarks: [...letterMarks, ...dropped], atMs };
  }

  /** A record that cannot be read knows none: sent twice is better than never. */
  #isKnownLetter(key: string): boolean {
    try {
      return this.outbox.has(key) || this.#record.letters.has(key);
    } catch (error) {
      if (!isOperatingError(error)) throw error;
      return false;
    }
  }

  #tryWrite(): unknown {
    const { batch, isQuiet } = this.#waiting;
    try {
      this.#record.write(batch, this.#lost, this.#saveNumber + 1);
      this.#writeJournal(batch.alertEvents);
      if (batch.savedWatch !== undefined) this.#copyWatch(batch.savedWatch, isQuiet);
      this.#lastDurableSeq = this.#lastSeq;
      this.#waiting.clear();
      this.#lost = null;
      return null;
    } catch (error) {
      return error;
    }
  }

  #copyWatch(watch: SavedWatch, isQuiet: boolean): void {
    this.#saveNumber += 1;
    this.#keptWatch.saved({ number: this.#saveNumber, watch }, isQuiet, this.#clock.nowMs());
  }

  /** Goes on numbering after both copies. */
  #chooseWatch(): ChosenWatch {
    const chosen = this.#keptWatch.choose(this.#record.watch);
    this.#saveNumber = Math.max(this.#saveNumber, chosen.number);
    return chosen;
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
      this.#waiting.forgetWhatArrived(this.#record, this.#lastDurableSeq);
      this.#chooseWatch();
      // A new record knows nothing of them yet.
      if (this.#boots.length > 0) this.#waiting.setBoots(this.#boots);
      if (this.outbox.size > 0) this.#waiting.setLetters(this.outbox.waiting);
      this.#noteLost('the record broke while it was open');
      return null;
    } catch (error) {
      if (standIn === null) this.#standInNow();
      return error;
    }
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

  /** Leaves a mark in the record for the numbers between it and the first event that waits. */
  #noteLost(why: string): void {
    const firstWaiting = this.#waiting.firstSeq ?? this.#lastSeq + 1;
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
