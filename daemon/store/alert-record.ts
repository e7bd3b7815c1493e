/**
 * The record of alerts in `alerts.db`: what is written in one transaction, and the tables to read.
 * Knows nothing of retries or broken files; every method throws what SQLite throws.
 */
import type { Database, Statement } from 'better-sqlite3';
import type { AlertEvent } from '../../rules/alerts/alert.ts';
import type { PanelEvent, SavedWatch } from '../../rules/watch.ts';
import type { Letter } from '../../rules/telling/letter.ts';
import type { SavedTelling } from '../../rules/telling/telling.ts';
import { AlertTables } from './alert-tables.ts';
import { LetterTable } from './letter-table.ts';
import type { LetterMark, PushChange } from './letters.ts';
import { PanelEventTable } from './panel-event-table.ts';
import type { Boot } from './time-axis.ts';
import { WatchRow } from './watch-row.ts';

export interface CommitBatch {
  /** In order; the first continues the record's last number by one. */
  alertEvents: readonly AlertEvent[];
  panelEvents: readonly PanelEvent[];
  /** The watch as it is after these events. */
  savedWatch?: SavedWatch;
  /** New or put right; each takes the place of the one of its number. */
  boots?: readonly Boot[];
  /** A letter whose key is known already is not written again. */
  letters?: readonly Letter[];
  /** Keys of letters that need not go any more, if they have not gone. */
  withdrawnLetters?: readonly string[];
  letterMarks?: readonly LetterMark[];
  /** What `Telling` remembers after these letters; plain JSON. */
  savedTelling?: SavedTelling;
  pushChanges?: readonly PushChange[];
  /** When it was handed in. */
  atMs?: number;
}

/** Numbers of alert events that never reached the file. */
export interface LostEvents {
  firstSeq: number;
  lastSeq: number;
  notedAtMs: number;
  why: string;
}

export class AlertRecord {
  readonly alerts: AlertTables;
  readonly panelEvents: PanelEventTable;
  readonly watch: WatchRow;
  readonly letters: LetterTable;
  readonly #lastSeq: Statement<[], number>;
  readonly #setBoot: Statement<[Boot]>;
  readonly #boots: Statement<[], Boot>;
  readonly #addLost: Statement<[number, number, number, string]>;
  readonly #write: (batch: CommitBatch, lost: LostEvents | null, saveNumber: number) => void;

  constructor(db: Database) {
    this.alerts = new AlertTables(db);
    this.panelEvents = new PanelEventTable(db);
    this.watch = new WatchRow(db);
    this.letters = new LetterTable(db);
    this.#lastSeq = db
      .prepare<[], number>(
        `SELECT max(coalesce((SELECT max(seq) FROM alert_event), 0),
                    coalesce((SELECT max(last_seq) FROM lost_alert_events), 0))`,
      )
      .pluck();
    this.#setBoot = db.prepare(
      `INSERT OR REPLACE INTO boot (number, starts_at_ms, offset_ms, quality, machine_run)
       VALUES (@number, @startsAtMs, @offsetMs, @quality, @machineRun)`,
    );
    this.#boots = db.prepare(
      `SELECT number, starts_at_ms AS startsAtMs, offset_ms AS offsetMs, quality,
         machine_run AS machineRun
       FROM boot ORDER BY starts_at_ms, number`,
    );
    this.#addLost = db.prepare(
      `INSERT INTO lost_alert_events (first_seq, last_seq, noted_at_ms, why) VALUES (?, ?, ?, ?)`,
    );
    const transaction = db.transaction(
      (batch: CommitBatch, lost: LostEvents | null, saveNumber: number) =>
        this.#writeAll(batch, lost, saveNumber),
    );
    this.#write = (batch, lost, saveNumber) => transaction.immediate(batch, lost, saveNumber);
  }

  /** Rows whose text the disk has changed, met since this was opened. */
  get unreadable(): number {
    return this.alerts.unreadable + this.panelEvents.unreadable + this.letters.unreadable;
  }

  /** Number of the last alert event, lost ones counted; 0 in a new record. */
  lastSeq(): number {
    return this.#lastSeq.get() ?? 0;
  }

  /** In order of their start. */
  boots(): Boot[] {
    return this.#boots.all();
  }

  /**
   * Writes all of it in one transaction and returns once it is on the disk. Throws, and writes
   * nothing, if an event's number is not the last one plus one. `saveNumber`: of the batch's watch.
   */
  write(batch: CommitBatch, lost: LostEvents | null, saveNumber: number): void {
    this.#write(batch, lost, saveNumber);
  }

  #writeAll(batch: CommitBatch, lost: LostEvents | null, saveNumber: number): void {
    for (const boot of batch.boots ?? []) this.#setBoot.run(boot);
    if (lost !== null) this.#addLost.run(lost.firstSeq, lost.lastSeq, lost.notedAtMs, lost.why);
    let last = this.lastSeq();
    for (const event of batch.alertEvents) {
      if (event.seq !== last + 1) {
        throw new RangeError(
          `alert event ${event.seq} cannot follow ${last}: the record has no gaps`,
        );
      }
      last = event.seq;
      this.alerts.add(event);
    }
    for (const event of batch.panelEvents) this.panelEvents.add(event);
    if (batch.savedWatch !== undefined) {
      this.watch.set({ number: saveNumber, watch: batch.savedWatch });
    }
    this.#writeLetters(batch);
  }

  #writeLetters(batch: CommitBatch): void {
    this.letters.add(batch.letters ?? []);
    this.letters.withdraw(batch.withdrawnLetters ?? [], batch.atMs ?? 0);
    this.letters.mark(batch.letterMarks ?? []);
    if (batch.savedTelling !== undefined) this.letters.setTelling(batch.savedTelling);
    this.letters.changePush(batch.pushChanges ?? []);
  }
}
