/** The last instant of the daemon's clock that is on the disk, asked before that clock begins. */
import Database from 'better-sqlite3';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { INCOMING } from './restore-plan.ts';
import { closeQuietly } from './sqlite-file.ts';
import { codeOf } from './store-problem.ts';

/** In all versions of the tables; the watch is saved at least twice a minute. */
const QUESTIONS = [
  'SELECT at_ms FROM saved_watch',
  'SELECT at_ms FROM alert_event ORDER BY seq DESC LIMIT 1',
  'SELECT starts_at_ms FROM boot ORDER BY starts_at_ms DESC LIMIT 1',
];

/**
 * Milliseconds as they stand in the record of alerts in `folder`; null where there is none or it
 * cannot be read. It can be half a minute short of the last reading.
 */
export function lastRecordedMs(folder: string): number | null {
  // A restore that was cut short is finished only after this, and may bring a later one.
  const all = [folder, join(folder, INCOMING)].map((each) => lastIn(join(each, 'alerts.db')));
  const found = all.filter((each) => each !== null);
  return found.length === 0 ? null : Math.max(...found);
}

function lastIn(path: string): number | null {
  if (!existsSync(path)) return null;
  let db: Database.Database | undefined;
  try {
    db = new Database(path, { readonly: true, timeout: 0 });
    const answers = QUESTIONS.map((question) => answerOf(db, question));
    const latest = Math.max(...answers.filter((answer) => answer !== null));
    return Number.isFinite(latest) ? latest : null;
  } catch (error) {
    // In use, broken or away: opening the store says so in words.
    if (codeOf(error) === '') throw error;
    return null;
  } finally {
    closeQuietly(db);
  }
}

/** Null too where this version has no such table yet, or that part of the file is broken. */
function answerOf(db: Database.Database | undefined, question: string): number | null {
  try {
    const answer = db?.prepare(question).pluck().get();
    return typeof answer === 'number' ? answer : null;
  } catch (error) {
    if (codeOf(error) === '') throw error;
    return null;
  }
}
