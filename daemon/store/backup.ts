/**
 * A copy of both databases, made while the daemon runs (restore.ts puts it back). The copy is
 * SQLite's own (VACUUM INTO, one read transaction for each file), it is read from end to end before
 * it is called a backup, and a manifest says what each file must be.
 *
 * The order matters: first the history's journal, then the history, then the alerts. A reading that
 * moves from the journal into the history meanwhile is in both, which counts once; and no alert
 * that the history has seen is missing from the copy.
 */
import Database from 'better-sqlite3';
import { createHash } from 'node:crypto';
import {
  closeSync,
  copyFileSync,
  existsSync,
  mkdirSync,
  openSync,
  readdirSync,
  readFileSync,
  readSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import {
  ALERTS_APPLICATION_ID,
  ALERTS_MIGRATIONS,
  HISTORY_APPLICATION_ID,
  HISTORY_MIGRATIONS,
  versionOf,
} from './migrations.ts';
import {
  isOfBackup,
  isOfStore,
  isRestoreUnfinished,
  syncFile,
  syncFolder,
} from './restore-plan.ts';
import { closeQuietly } from './store-problem.ts';

/** Why it could not be done, as a whole sentence; `message` is for whoever asked. */
export class BackupProblem extends Error {
  override readonly name = 'BackupProblem';
}

interface Manifest {
  format: 1;
  /** By the wall clock of whoever made it. */
  madeAt: string;
  files: Record<string, { bytes: number; sha256: string }>;
}

const MANIFEST = 'panelward-backup.json';
const DATABASES = [
  {
    name: 'history.db',
    applicationId: HISTORY_APPLICATION_ID,
    version: HISTORY_MIGRATIONS.length,
  },
  { name: 'alerts.db', applicationId: ALERTS_APPLICATION_ID, version: ALERTS_MIGRATIONS.length },
] as const;

export interface BackupMade {
  files: string[];
  bytes: number;
}

/**
 * Copies the store in `folder` into `target`, a folder that must not be there yet or be empty.
 * Throws BackupProblem; then `target` is not there.
 */
export function backUp(folder: string, target: string, madeAtMs: number): BackupMade {
  if (isRestoreUnfinished(folder)) {
    throw new BackupProblem(
      `A restore into ${folder} was cut short. Start panelward on it once, which finishes that.`,
    );
  }
  if (!existsSync(join(folder, 'alerts.db'))) {
    throw new BackupProblem(`There is no store in ${folder}. Give its folder with --data.`);
  }
  if (existsSync(target) && readdirSync(target).length > 0) {
    throw new BackupProblem(`${target} is not empty. Give a folder that is not there yet.`);
  }
  const partial = `${target.replace(/\/+$/, '')}.partial`;
  try {
    rmSync(partial, { recursive: true, force: true });
    mkdirSync(partial, { recursive: true, mode: 0o700 });
    copyAll(folder, partial);
    writeManifest(partial, madeAtMs);
    check(partial);
    rmSync(target, { recursive: true, force: true });
    renameSync(partial, target);
    syncFolder(join(target, '..'));
    const names = readdirSync(target).sort();
    return { files: names, bytes: names.reduce((sum, name) => sum + sizeOf(target, name), 0) };
  } catch (error) {
    rmSync(partial, { recursive: true, force: true });
    throw asProblem('The backup could not be made', error);
  }
}

/** Reads a backup from end to end. Throws BackupProblem if anything in it is not as it was made. */
export function check(source: string): void {
  const { files } = readManifest(source);
  for (const [name, { bytes, sha256 }] of Object.entries(files)) {
    const path = join(source, name);
    if (!existsSync(path)) throw new BackupProblem(`${path} is missing from the backup.`);
    if (statSync(path).size !== bytes || digestOf(path) !== sha256) {
      throw new BackupProblem(`${path} is not what was backed up: it has changed since.`);
    }
  }
  for (const database of DATABASES) {
    if (files[database.name] !== undefined) checkDatabase(source, database);
  }
  if (files['alerts.db'] === undefined) {
    throw new BackupProblem(`${source} holds no alerts.db, so it is no whole backup.`);
  }
}

function copyAll(folder: string, target: string): void {
  for (const name of readdirSync(folder).filter(isOfBackup)) {
    copyFileSync(join(folder, name), join(target, name));
  }
  for (const { name } of DATABASES) {
    if (!existsSync(join(folder, name))) continue;
    const db = new Database(join(folder, name), { readonly: true, timeout: 10_000 });
    try {
      db.prepare('VACUUM INTO ?').run(join(target, name));
    } finally {
      closeQuietly(db);
    }
  }
  for (const name of readdirSync(target)) syncFile(join(target, name));
}

function writeManifest(target: string, madeAtMs: number): void {
  const files = Object.fromEntries(
    readdirSync(target)
      .sort()
      .map((name) => {
        const path = join(target, name);
        return [name, { bytes: statSync(path).size, sha256: digestOf(path) }];
      }),
  );
  const manifest: Manifest = { format: 1, madeAt: new Date(madeAtMs).toISOString(), files };
  writeFileSync(join(target, MANIFEST), `${JSON.stringify(manifest, null, 2)}\n`);
  syncFile(join(target, MANIFEST));
  syncFolder(target);
}

/** Throws BackupProblem where there is none that can be understood. */
export function readManifest(source: string): Manifest {
  const path = join(source, MANIFEST);
  if (!existsSync(path)) throw new BackupProblem(`${source} is no backup: it has no ${MANIFEST}.`);
  try {
    const manifest: unknown = JSON.parse(readFileSync(path, 'utf8'));
    if (isManifest(manifest)) return manifest;
  } catch (error) {
    if (!(error instanceof SyntaxError)) throw error;
  }
  throw new BackupProblem(`${path} cannot be understood; another version may have written it.`);
}

/** Names of files only: a manifest must not reach out of its folder. */
function isManifest(value: unknown): value is Manifest {
  if (typeof value !== 'object' || value === null) return false;
  if (!('format' in value) || value.format !== 1 || !('files' in value)) return false;
  const { files } = value;
  if (typeof files !== 'object' || files === null) return false;
  return Object.entries(files).every(
    ([name, file]: [string, unknown]) =>
      isOfStore(name) &&
      typeof file === 'object' &&
      file !== null &&
      'bytes' in file &&
      'sha256' in file,
  );
}

function checkDatabase(
  source: string,
  { name, applicationId, version }: (typeof DATABASES)[number],
): void {
  const path = join(source, name);
  const db = new Database(path, { readonly: true });
  try {
    const verdict = String(db.pragma('integrity_check(1)', { simple: true }));
    if (verdict !== 'ok') throw new BackupProblem(`${path} is damaged: ${verdict}.`);
    if (db.pragma('application_id', { simple: true }) !== applicationId) {
      throw new BackupProblem(`${path} is not one of panelward's databases.`);
    }
    if (versionOf(db) > version) {
      throw new BackupProblem(
        `${path} was written by a newer panelward (version ${versionOf(db)} of its tables; this one knows ${version}). Install the newer one.`,
      );
    }
  } finally {
    closeQuietly(db);
  }
}

function digestOf(path: string): string {
  const hash = createHash('sha256');
  const file = openSync(path, 'r');
  try {
    const block = Buffer.alloc(1024 * 1024);
    for (;;) {
      const bytes = readSync(file, block);
      if (bytes === 0) return hash.digest('hex');
      hash.update(block.subarray(0, bytes));
    }
  } finally {
    closeSync(file);
  }
}

const sizeOf = (folder: string, name: string): number => statSync(join(folder, name)).size;

/** As a BackupProblem that says what could not be done, and why. */
export function asProblem(what: string, error: unknown): BackupProblem {
  if (error instanceof BackupProblem) return error;
  const why = error instanceof Error ? error.message : String(error);
  return new BackupProblem(`${what}: ${why.replace(/\.$/, '')}.`, { cause: error });
}
