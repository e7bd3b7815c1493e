/**
 * The record of a folder to read and nothing else: for commands that look back while the daemon
 * runs on the same folder, or after it has ended. What the daemon has only in memory, some ten
 * seconds, is not in it.
 */
import Database from 'better-sqlite3';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import type { AlertEvent } from '../../rules/alerts/alert.ts';
import type { PanelEvent } from '../../rules/watch.ts';
import { AlertRecord } from './alert-record.ts';
import { alertsFile } from './alerts-file.ts';
import { historyFile } from './history-file.ts';
import { Journal } from './history/journal.ts';
import { Reader } from './history/reader.ts';
import { Recent } from './history/recent.ts';
import { Snapshots } from './history/snapshots.ts';
import { versionOf } from './migrations.ts';
import { isRestoreUnfinished } from './restore-plan.ts';
import { refuseUnlessOurs, type FileDescription } from './sqlite-file.ts';
import { closeQuietly, messageOf, StoreProblem } from './store-problem.ts';
import { eventOn, TimeAxis } from './time-axis.ts';

export interface RecordView {
  /** Buckets, single readings, rollups, clips. Instants are present ones of `axis`. */
  reader: Reader;
  axis: TimeAxis;
  /** Present instants at which the daemon started, in order. */
  startsMs: readonly number[];
  /** All alert events of a span, in order. */
  alertEvents(fromMs: number, toMs: number): AlertEvent[];
  /** All panel events of a span, oldest first. */
  panelEvents(fromMs: number, toMs: number): PanelEvent[];
  close(): void;
}

/** Throws StoreProblem: there is no record in `folder`, or it is not of this version. */
export function viewRecord(folder: string): RecordView {
  const paths = { alerts: join(folder, 'alerts.db'), history: join(folder, 'history.db') };
  if (isRestoreUnfinished(folder)) {
    throw new StoreProblem(
      'refused',
      `A restore into ${folder} was cut short. Start panelward on it once, which finishes that.`,
    );
  }
  if (!existsSync(paths.alerts)) {
    throw new StoreProblem('refused', `There is no record in ${folder}: no alerts.db.`);
  }
  for (const file of [alertsFile(paths.alerts), historyFile(paths.history)]) {
    refuseUnlessOurs(file);
    refuseOlder(file);
  }
  const db = new Database(paths.alerts, { readonly: true, timeout: 2000 });
  try {
    return viewOf(db, new AlertRecord(db), paths.history);
  } catch (error) {
    closeQuietly(db);
    throw error;
  }
}

function viewOf(db: Database.Database, record: AlertRecord, historyPath: string): RecordView {
  const boots = record.boots();
  const axis = new TimeAxis(boots);
  // The journal before the database: what moves over meanwhile is in both, which counts once.
  const recent = recentOf(historyPath);
  const snapshots = new Snapshots(historyPath, () => {});
  const reader = new Reader({ snapshots, recent, waiting: () => [], axis: () => axis });
  return {
    reader,
    axis,
    startsMs: boots.map(({ startsAtMs }) => axis.presentMsOf(startsAtMs)),
    alertEvents: (fromMs, toMs) =>
      axis
        .spans(fromMs, toMs)
        .flatMap((span) => record.alerts.eventsBetween(span.fromMs, span.toMs))
        .map((event) => eventOn(axis, event)),
    panelEvents: (fromMs, toMs) =>
      axis.spans(fromMs, toMs).flatMap((span) => {
        const query = { from: span.fromMs, to: span.toMs, limit: Number.MAX_SAFE_INTEGER };
        const events = record.panelEvents.between(query).reverse();
        for (const event of events) event.atMs += span.shiftMs;
        return events;
      }),
    close: () => {
      snapshots.forget();
      closeQuietly(db);
    },
  };
}

function recentOf(historyPath: string): Recent {
  const recent = new Recent();
  try {
    for (const reading of new Journal(historyPath).replay().readings) recent.add(reading);
  } catch (error) {
    throw new StoreProblem(
      'medium',
      `The journal of readings cannot be read: ${messageOf(error)}.`,
      {
        cause: error,
      },
    );
  }
  return recent;
}

/** A record of an older version is brought up to date by the daemon, which may write. */
function refuseOlder({ path, migrations }: FileDescription): void {
  if (!existsSync(path)) return;
  const db = new Database(path, { readonly: true, timeout: 2000 });
  try {
    if (versionOf(db) >= migrations.length) return;
  } finally {
    closeQuietly(db);
  }
  throw new StoreProblem(
    'refused',
    `${path} is of an older version of panelward. Let panelward run on its folder once.`,
  );
}
