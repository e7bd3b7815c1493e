/**
 * Opens the record of alerts: from the disk, made whole with the help of its journal; or, while the
 * disk cannot be written or has gone, a stand-in that can be read as the record could be.
 */
import Database from 'better-sqlite3';
import { copyFileSync, existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import type { EventJournal } from './event-journal.ts';
import { migrate } from './migrations.ts';
import { catchUp, repair } from './record-repair.ts';
import { closeQuietly, type FileDescription, openFile } from './sqlite-file.ts';
import { isFileError, isOperatingError, messageOf, StoreProblem } from './store-problem.ts';

export interface OpenedRecord {
  db: Database.Database;
  /** What had to be done for it, as whole sentences for the health page. */
  sentences: string[];
}

/** Opens `alerts.db` itself. Throws StoreProblem if the disk says no. */
export function openRecord(
  file: FileDescription,
  journal: EventJournal,
  nowMs: number,
): OpenedRecord {
  const { db, setAside } = openFile(file);
  const sentences = setAside === null ? [] : [`The record of alerts was damaged: ${setAside}`];
  try {
    const { recovered, missing } = (setAside === null ? catchUp : repair)(db, journal, nowMs);
    if (recovered > 0) {
      sentences.push(
        `${recovered} alert events were missing from alerts.db; they came back from its journal.`,
      );
    }
    if (missing > 0) sentences.push(`${missing} alert events are gone from the disk.`);
  } catch (error) {
    if (!isOperatingError(error) && !isFileError(error)) throw error;
    sentences.push(
      `The record of alerts could not be compared with its journal: ${messageOf(error)}.`,
    );
  }
  return { db, sentences };
}

export interface StandIn {
  db: Database.Database;
  remove(): void;
}

/** A copy of the record in the memory of the computer; null if the disk cannot even be read. */
export function copiedStandIn(file: FileDescription): StandIn | null {
  if (!existsSync(file.path)) return null;
  let folder: string | null = null;
  try {
    folder = mkdtempSync(join(existsSync('/dev/shm') ? '/dev/shm' : tmpdir(), 'panelward-'));
    const made = folder;
    const path = join(folder, basename(file.path));
    copyFileSync(file.path, path);
    if (existsSync(`${file.path}-wal`)) copyFileSync(`${file.path}-wal`, `${path}-wal`);
    const { db } = openFile({ ...file, path });
    const remove = (): void => {
      closeQuietly(db);
      rmSync(made, { recursive: true, force: true });
    };
    return { db, remove };
  } catch (error) {
    if (folder !== null) rmSync(folder, { recursive: true, force: true });
    if (isOperatingError(error) || isFileError(error)) return null;
    throw error;
  }
}

/** Knows nothing, but answers. */
export function emptyStandIn(file: FileDescription): StandIn {
  const db = new Database(':memory:');
  migrate(db, file.migrations);
  return { db, remove: () => closeQuietly(db) };
}

/** Whether going on without the disk is better than not starting at all. */
export function mayStandIn(error: unknown): boolean {
  return error instanceof StoreProblem && error.kind === 'medium';
}
