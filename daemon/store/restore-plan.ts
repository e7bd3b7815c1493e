/**
 * What a restore is about to do, on the disk before it does anything: `restoring/plan.json` beside
 * the files that come in. While that plan is there, a restore is under way or was cut short.
 */
import { closeSync, existsSync, fsyncSync, openSync, readFileSync } from 'node:fs';
import { join } from 'node:path';

export interface RestorePlan {
  /** Folder for what is replaced; null where there was nothing. */
  aside: string | null;
  /** Files that come in; one that is no longer in `restoring` is in its place already. */
  files: string[];
}

/** Files that come in, and the plan, are in this folder of the store's own. */
export const INCOMING = 'restoring';
export const PLAN = 'plan.json';

const isHistoryJournal = (name: string): boolean => /^history.*\.journal-\d$/.test(name);

/** All that a restore replaces. */
export const isOfStore = (name: string): boolean =>
  /^(alerts|history)\.db(-wal|-shm|-journal)?$/.test(name) ||
  name === 'alerts.journal' ||
  name === 'alerts.watch' ||
  isHistoryJournal(name);

/** Files of a store that are not databases but belong into a backup. */
export const isOfBackup = isHistoryJournal;

/** Whether a restore into this folder has begun to replace files and has not ended. */
export function isRestoreUnfinished(folder: string): boolean {
  return existsSync(join(folder, INCOMING, PLAN));
}

/** Null where it cannot be understood. Throws what the file system says. */
export function readPlan(folder: string): RestorePlan | null {
  try {
    const plan: unknown = JSON.parse(readFileSync(join(folder, INCOMING, PLAN), 'utf8'));
    return isPlan(plan) ? plan : null;
  } catch (error) {
    if (error instanceof SyntaxError) return null;
    throw error;
  }
}

/** Names of the store's own files only: a damaged plan must not reach out of its folder. */
function isPlan(value: unknown): value is RestorePlan {
  if (typeof value !== 'object' || value === null) return false;
  if (!('aside' in value) || !('files' in value) || !Array.isArray(value.files)) return false;
  const isAside =
    value.aside === null ||
    (typeof value.aside === 'string' && /^before-restore-\d+$/.test(value.aside));
  return isAside && value.files.every((name) => typeof name === 'string' && isOfStore(name));
}

export function syncFile(path: string): void {
  sync(path, 'r+');
}

/** Makes new names in it last. */
export function syncFolder(path: string): void {
  sync(path, 'r');
}

function sync(path: string, flags: 'r' | 'r+'): void {
  const file = openSync(path, flags);
  try {
    fsyncSync(file);
  } finally {
    closeSync(file);
  }
}
