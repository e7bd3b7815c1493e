/**
 * Reads everything that is kept, from end to end, and says what is not as it was written. What the
 * daemon does at start is quick and looks at the structure; this also looks into every row. It only
 * reads, so the daemon may run meanwhile.
 */
import Database from 'better-sqlite3';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { AlertRecord } from './alert-record.ts';
import { journalPathOf, watchPathOf } from './alerts-file.ts';
import { brokenLinks } from './event-chain.ts';
import { EventJournal } from './event-journal.ts';
import { isSoundRow } from './history/chunk-tables.ts';
import { Journal } from './history/journal.ts';
import { isSoundLetterRow } from './letter-table.ts';
import { closeQuietly, isOperatingError, messageOf, StoreProblem } from './store-problem.ts';
import { WatchCopy } from './watch-copy.ts';

export interface Checked {
  /** What was read, for a person: `history.db, chunks`. */
  what: string;
  rows: number;
  /** Whole sentences; empty where all is well. */
  problems: string[];
}

const BLOBS = ['chunk', 'times', 'minutes', 'quarters', 'hours', 'days'] as const;
/** Said of each file at most. */
const SAID_MAX = 10;

/** Throws StoreProblem if there is no record in `folder`. */
export function checkedRecord(folder: string): Checked[] {
  const alerts = join(folder, 'alerts.db');
  const history = join(folder, 'history.db');
  if (!existsSync(alerts)) {
    throw new StoreProblem('refused', `There is no record in ${folder}: no alerts.db.`);
  }
  return [
    ...inFile(alerts, alertsIn),
    ...(existsSync(history) ? inFile(history, historyIn) : []),
    ...journalOf(history),
    eventsOf(alerts),
    watchCopyOf(alerts),
  ];
}

function inFile(path: string, look: (db: Database.Database) => Checked[]): Checked[] {
  let db: Database.Database | null = null;
  try {
    db = new Database(path, { readonly: true, timeout: 10_000 });
    const said = db.prepare<[], string>(`PRAGMA integrity_check(${SAID_MAX})`).pluck().all();
    const problems = said.filter((line) => line !== 'ok').map((line) => `SQLite says: ${line}.`);
    return [{ what: `${path}, structure`, rows: said.length, problems }, ...look(db)];
  } catch (error) {
    if (!isOperatingError(error)) throw error;
    return [{ what: path, rows: 0, problems: [`It cannot be read: ${messageOf(error)}.`] }];
  } finally {
    if (db !== null) closeQuietly(db);
  }
}

function alertsIn(db: Database.Database): Checked[] {
  const record = new AlertRecord(db);
  const count = (table: string): number =>
    db.prepare<[], number>(`SELECT count(*) FROM ${table}`).pluck().get() ?? 0;
  const events = record.alerts.eventsBetween(-Infinity, Infinity).length;
  const unreadable = record.unreadable;
  const watch =
    record.watch.get() === 'damaged' ? ['The saved watch is not as it was written.'] : [];
  return [
    {
      what: 'alerts.db, alert events',
      rows: events + unreadable,
      problems: unreadable === 0 ? [] : [`${unreadable} alert events cannot be read.`],
    },
    chainIn(db),
    { what: 'alerts.db, saved watch', rows: count('saved_watch'), problems: watch },
    lettersIn(db),
  ];
}

function chainIn(db: Database.Database): Checked {
  const broken = brokenLinks(db);
  const some = broken.slice(0, SAID_MAX).join(', ');
  return {
    what: 'alerts.db, order of alert events',
    rows: db.prepare<[], number>('SELECT count(*) FROM alert_event').pluck().get() ?? 0,
    problems:
      broken.length === 0
        ? []
        : [`${broken.length} alert events do not fit to those before them: ${some}.`],
  };
}

/** Of a record that an older panelward wrote, and no newer one has opened, there is no such table. */
function lettersIn(db: Database.Database): Checked {
  const all = db.prepare<[], Record<string, unknown>>('SELECT key, letter_json FROM letter').all();
  const changed = all.filter((row) => !isSoundLetterRow(row)).length;
  return {
    what: 'alerts.db, letters',
    rows: all.length,
    problems: changed === 0 ? [] : [`${changed} letters cannot be read.`],
  };
}

function historyIn(db: Database.Database): Checked[] {
  return BLOBS.map((table) => {
    let [rows, damaged] = [0, 0];
    const all = db.prepare<[], Record<string, unknown>>(`SELECT key, packed FROM ${table}`);
    for (const row of all.iterate()) {
      rows += 1;
      if (!isSoundRow(table, row)) damaged += 1;
    }
    const problems =
      damaged === 0 ? [] : [`${damaged} of ${rows} pieces have changed since they were written.`];
    return { what: `history.db, ${table}`, rows, problems };
  });
}

function journalOf(historyPath: string): Checked[] {
  const what = 'journal of readings';
  try {
    const { readings, damaged } = new Journal(historyPath).replay();
    const problems =
      damaged === 0 ? [] : [`${damaged} pieces of it, some ten seconds each, cannot be read.`];
    return [{ what, rows: readings.length, problems }];
  } catch (error) {
    if (!isOperatingError(error)) throw error;
    return [{ what, rows: 0, problems: [`It cannot be read: ${messageOf(error)}.`] }];
  }
}

function eventsOf(alertsPath: string): Checked {
  const rows = new EventJournal(journalPathOf(alertsPath)).events().length;
  return { what: 'second copy of alert events', rows, problems: [] };
}

function watchCopyOf(alertsPath: string): Checked {
  const read = new WatchCopy(watchPathOf(alertsPath)).read();
  const problems = read === 'damaged' ? ['It is not as it was written.'] : [];
  return { what: 'second copy of the saved watch', rows: read === null ? 0 : 1, problems };
}
