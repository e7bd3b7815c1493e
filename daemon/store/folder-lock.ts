/**
 * One daemon a folder. The lock is SQLite's own on an empty file, so the kernel lets go of it
 * however the process ends, and other programs may still read the databases beside it (a backup
 * while the daemon runs).
 */
import Database from 'better-sqlite3';
import { join } from 'node:path';
import { closeQuietly } from './sqlite-file.ts';
import { isBusy, isMediumError, StoreProblem } from './store-problem.ts';

/** Nothing is ever written to it. */
const LOCK_FILE = 'in-use.lock';

/**
 * Takes the folder until the returned function is called. Throws StoreProblem if another process
 * has it. On a disk that cannot be written there is no lock, and nobody to lock out either.
 */
export function lockFolder(folder: string): () => void {
  let db: Database.Database | undefined;
  try {
    db = new Database(join(folder, LOCK_FILE), { timeout: 500 });
    // No file beside it.
    db.pragma('journal_mode = MEMORY');
    // Reading takes the lock too: an exclusive one is held for as long as the connection lives.
    db.exec('BEGIN EXCLUSIVE');
    const held = db;
    return () => closeQuietly(held);
  } catch (error) {
    closeQuietly(db);
    if (isBusy(error)) throw inUse(folder, error);
    if (isMediumError(error)) return () => {};
    throw error;
  }
}

function inUse(folder: string, cause: unknown): StoreProblem {
  return new StoreProblem(
    'refused',
    `${folder} is in use by another process. Only one panelward may run on a folder: end the other one, or give another folder.`,
    { cause },
  );
}
