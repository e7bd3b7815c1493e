/**
 * One daemon a folder. The lock is SQLite's own on an empty file, so the kernel lets go of it
 * however the process ends, and other programs may still read the databases beside it (a backup
 * while the daemon runs).
 */
import Database from 'better-sqlite3';
import { rmSync } from 'node:fs';
import { join } from 'node:path';
import {
  closeQuietly,
  isBusy,
  isCorruption,
  isFileError,
  isOperatingError,
  StoreProblem,
} from './store-problem.ts';

/** Nothing is ever written to it. */
const LOCK_FILE = 'in-use.lock';
/** A disk that failed once may not fail again. */
const TRIES = 2;

/**
 * Takes the folder until the returned function is called. Throws StoreProblem if another process
 * has it. Where the disk does not let anybody lock there is no lock: the boat is watched all the
 * same.
 */
export function lockFolder(folder: string): () => void {
  for (let tries = 0; tries < TRIES; tries += 1) {
    const unlock = tryLock(folder);
    if (unlock !== null) return unlock;
  }
  return () => {};
}

/** Null if the disk would not have it. */
function tryLock(folder: string): (() => void) | null {
  const path = join(folder, LOCK_FILE);
  let db: Database.Database | undefined;
  try {
    db = new Database(path, { timeout: 500 });
    // No file beside it.
    db.pragma('journal_mode = MEMORY');
    // Reading takes the lock too: an exclusive one is held for as long as the connection lives.
    db.exec('BEGIN EXCLUSIVE');
    const held = db;
    return () => closeQuietly(held);
  } catch (error) {
    closeQuietly(db);
    if (isBusy(error)) throw inUse(folder, error);
    if (!isOperatingError(error)) throw error;
    if (isCorruption(error)) removeQuietly(path);
    return null;
  }
}

/** Nothing is in it that could be missed. */
function removeQuietly(path: string): void {
  try {
    rmSync(path, { force: true });
  } catch (error) {
    if (!isFileError(error)) throw error;
  }
}

function inUse(folder: string, cause: unknown): StoreProblem {
  return new StoreProblem(
    'refused',
    `${folder} is in use by another process. Only one panelward may run on a folder: end the other one, or give another folder.`,
    { cause },
  );
}
