/**
 * Opens one SQLite file of the store: refuses what is newer or not ours without touching it, sets a
 * broken file aside and starts a new one, brings an older one up to date.
 */
import Database from 'better-sqlite3';
import {
  accessSync,
  constants,
  existsSync,
  readdirSync,
  renameSync,
  rmSync,
  statSync,
} from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { type Migration, migrate, versionOf } from './migrations.ts';
import { type IsSound, salvage } from './salvage.ts';
import {
  closeQuietly,
  codeOf,
  isBusy,
  isFileError,
  isMediumError,
  isOperatingError,
  messageOf,
  StoreProblem,
} from './store-problem.ts';

export { closeQuietly } from './store-problem.ts';

export interface FileDescription {
  path: string;
  applicationId: number;
  migrations: readonly Migration[];
  /** `name = value`, run in this order on every opening. */
  pragmas: readonly string[];
  /** Files up to this size are checked from end to end on opening. */
  checkedBytesMax: number;
  /** Of a broken file up to this size, what can be read is taken over while the daemon waits. */
  salvagedBytesMax?: number;
  /** Whether a row of a broken file may be taken over. */
  isSound?: IsSound;
  /** Looks at what the file holds, once it is up to date: a sentence if that is unusable. */
  faultIn?: (db: Database.Database) => string | null;
}

export interface OpenedFile {
  db: Database.Database;
  /** What was wrong with the old file and where it is now, as a whole sentence; else null. */
  setAside: string | null;
}

/** A few seconds of a small computer. */
const SALVAGED_BYTES_MAX = 64 * 1024 * 1024;
/** So many broken copies are kept of each file; a failing card must not fill itself with them. */
const SET_ASIDE_MAX = 5;

/** Throws StoreProblem if the file is from a newer version or not ours; reads only. */
export function refuseUnlessOurs({ path, applicationId, migrations }: FileDescription): void {
  let db: Database.Database | undefined;
  try {
    if (bytesOf(path) === 0) return;
    db = new Database(path, { readonly: true, timeout: 2000 });
    const version = versionOf(db);
    if (version > migrations.length) throw isNewer(path, version, migrations.length);
    const isOurs = db.pragma('application_id', { simple: true }) === applicationId;
    const tables = db.prepare('SELECT count(*) FROM sqlite_schema').pluck().get();
    if (!isOurs && (version > 0 || tables !== 0)) throw isNotOurs(path);
  } catch (error) {
    // What is left is a broken file, and that is for `openFile` to set aside.
    if (codeOf(error) === '' || isMediumError(error)) throw asProblem(path, error);
  } finally {
    db?.close();
  }
}

/** Opens the file, or a new one in place of a broken one. Throws StoreProblem if it cannot. */
export function openFile(file: FileDescription): OpenedFile {
  const opened = tryOpen(file);
  if ('db' in opened) return { db: opened.db, setAside: null };
  const keptAs = orProblem(file.path, () => setAside(file.path));
  const fresh = tryOpen(file);
  if ('fault' in fresh) {
    throw new StoreProblem('medium', `${file.path} cannot be made: ${fresh.fault}.`);
  }
  const outcome = takenOver(file, join(dirname(file.path), keptAs), fresh.db);
  return {
    db: fresh.db,
    setAside: `${basename(file.path)} was not usable (${opened.fault}); it is kept as ${keptAs} and a new one was begun. ${outcome}`,
  };
}

/** Salvages and says in a sentence what came of it. */
function takenOver(file: FileDescription, brokenPath: string, fresh: Database.Database): string {
  if (bytesOf(brokenPath) > (file.salvagedBytesMax ?? SALVAGED_BYTES_MAX)) {
    return 'It is too large to be searched at start, so nothing was taken over.';
  }
  try {
    const { rows, damagedTables } = salvage(brokenPath, fresh, file.isSound ?? (() => true));
    if (damagedTables.length === 0) return `All of its ${rows} rows could be taken over.`;
    return `${rows} rows could be taken over; in ${damagedTables.join(', ')} some could not be read.`;
  } catch (error) {
    if (!isOperatingError(error)) throw error;
    return `What can be read could not be taken over: ${messageOf(error)}.`;
  }
}

function tryOpen(file: FileDescription): { db: Database.Database } | { fault: string } {
  let db: Database.Database | undefined;
  try {
    if (!existsSync(dirname(file.path))) throw isGone(dirname(file.path));
    if (existsSync(file.path) && bytesOf(file.path) === 0) return { fault: 'it had no content' };
    expectWritable(file.path);
    db = new Database(file.path, { timeout: 2000 });
    for (const pragma of file.pragmas) db.pragma(pragma);
    migrate(db, file.migrations);
    const fault = faultIn(db, file);
    if (fault === null) return { db };
    db.close();
    return { fault };
  } catch (error) {
    closeQuietly(db);
    if (codeOf(error) === '' || isMediumError(error)) throw asProblem(file.path, error);
    return { fault: messageOf(error) };
  }
}

/**
 * SQLite would open a file that it may only read without a word, and wait many seconds for a log
 * that nobody can bring up to date. Throws what the file system says.
 */
function expectWritable(path: string): void {
  accessSync(dirname(path), constants.W_OK);
  if (existsSync(path)) accessSync(path, constants.W_OK);
}

function faultIn(db: Database.Database, file: FileDescription): string | null {
  if (bytesOf(file.path) <= file.checkedBytesMax) {
    const verdict = String(db.pragma('quick_check(1)', { simple: true }));
    if (verdict !== 'ok') return verdict.replaceAll(/\s+/g, ' ');
  }
  return file.faultIn?.(db) ?? null;
}

/** Renames the file with its companions to the next free `.corrupt-<n>`; gives the new base name. */
function setAside(path: string): string {
  const name = `${basename(path)}.corrupt-`;
  const taken = readdirSync(dirname(path))
    .filter((other) => other.startsWith(name))
    .map((other) => Number.parseInt(other.slice(name.length), 10))
    .filter((number) => Number.isSafeInteger(number));
  const number = Math.max(0, ...taken) + 1;
  for (const suffix of ['', '-wal', '-shm']) {
    if (existsSync(path + suffix)) renameSync(path + suffix, `${path}.corrupt-${number}${suffix}`);
    for (const old of taken.filter((each) => each <= number - SET_ASIDE_MAX)) {
      rmSync(join(dirname(path), `${name}${old}${suffix}`), { force: true });
    }
  }
  return `${name}${number}`;
}

/** How many broken files were set aside in `folder` and are still there. */
export function setAsideIn(folder: string): number {
  try {
    return readdirSync(folder).filter((name) => /\.corrupt-\d+$/.test(name)).length;
  } catch {
    // The folder is away; that is said elsewhere.
    return 0;
  }
}

/** Bytes of the file and its write-ahead log; 0 for what is not there. */
export function bytesOf(path: string): number {
  const size = (name: string): number => statSync(name, { throwIfNoEntry: false })?.size ?? 0;
  return size(path) + size(`${path}-wal`);
}

function orProblem<Result>(path: string, work: () => Result): Result {
  try {
    return work();
  } catch (error) {
    throw asProblem(path, error);
  }
}

function isGone(folder: string): StoreProblem {
  return new StoreProblem('medium', `The folder ${folder} is gone. Put it back, or give another.`);
}

function isNewer(path: string, version: number, known: number): StoreProblem {
  return new StoreProblem(
    'refused',
    `${path} was written by a newer panelward: its tables are version ${version}, this one knows up to ${known}. ` +
      'It was left untouched. Install the newer panelward, or give another folder.',
  );
}

function isNotOurs(path: string): StoreProblem {
  return new StoreProblem(
    'refused',
    `${path} is a database, but not one of panelward's. It was left untouched. Give another folder.`,
  );
}

function asProblem(path: string, error: unknown): unknown {
  if (error instanceof StoreProblem) return error;
  if (isBusy(error)) {
    return new StoreProblem(
      'refused',
      `${path} is in use by another process. Only one panelward may run on a folder: end the other one, or give another folder.`,
    );
  }
  if (!isMediumError(error) && !isFileError(error)) return error;
  return new StoreProblem(
    'medium',
    `${path} cannot be opened: ${messageOf(error)}. The folder must be on a writable disk with free space and belong to the user that runs panelward.`,
    { cause: error },
  );
}
