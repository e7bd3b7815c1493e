/**
 * Puts a backup in place of a store, so that a cut at any moment leaves the old record or the new
 * one. The files come into a folder of their own and are synced; then a plan is written, which is
 * the moment of no return; then the old files go aside and the new ones into their place. A cut
 * before the plan is there changes nothing; after it the next start (or restore) finishes the work.
 */
import { createHash } from 'node:crypto';
import {
  closeSync,
  existsSync,
  fsyncSync,
  mkdirSync,
  openSync,
  readdirSync,
  readSync,
  renameSync,
  rmSync,
  writeFileSync,
  writeSync,
} from 'node:fs';
import { join } from 'node:path';
import { asProblem, BackupProblem, check, readManifest } from './backup.ts';
import { lockFolder } from './folder-lock.ts';
import {
  INCOMING,
  isOfStore,
  isRestoreUnfinished,
  PLAN,
  readPlan,
  type RestorePlan,
  syncFile,
  syncFolder,
} from './restore-plan.ts';
import { isFileError, messageOf } from './store-problem.ts';

/**
 * Puts the backup in `source` in place of the store in `folder`, which it keeps aside; gives the name
 * of the folder where that is now, or null where there was none. Throws BackupProblem; then the store
 * is as it was, or the message says that the next start finishes the work.
 */
export function restore(source: string, folder: string): string | null {
  let unlock: () => void = () => {};
  try {
    check(source);
    mkdirSync(folder, { recursive: true, mode: 0o700 });
    unlock = lockFolder(folder);
    finishRestore(folder);
    bringIn(source, folder);
    const plan = planFor(folder);
    writePlan(folder, plan);
    carryOut(folder, plan);
    return plan.aside;
  } catch (error) {
    throw givenUp(folder, error);
  } finally {
    unlock();
  }
}

/**
 * Finishes a restore that was cut short, or takes back one that had replaced nothing yet; a sentence
 * for the health page if there was anything to do. The folder must be locked. Never throws what the
 * file system says: the boat is watched all the same.
 */
export function finishRestore(folder: string): string | null {
  try {
    if (!existsSync(join(folder, INCOMING))) return null;
    if (!isRestoreUnfinished(folder)) {
      rmSync(join(folder, INCOMING), { recursive: true, force: true });
      return 'A restore was cut short before it had replaced anything; the record is as it was.';
    }
    const plan = readPlan(folder);
    if (plan === null) return putOutOfTheWay(folder);
    carryOut(folder, plan);
    const kept = plan.aside === null ? '' : ` What was there before is kept in ${plan.aside}.`;
    return `A restore had been cut short; it is finished now.${kept}`;
  } catch (error) {
    if (!isFileError(error)) throw error;
    return `A restore was cut short and cannot be finished: ${messageOf(error)}. Parts of the record are missing until the next start that can.`;
  }
}

/** Copies what the manifest names, digesting it on the way: what comes in is what was backed up. */
function bringIn(source: string, folder: string): void {
  const incoming = join(folder, INCOMING);
  rmSync(incoming, { recursive: true, force: true });
  mkdirSync(incoming, { mode: 0o700 });
  for (const [name, { sha256 }] of Object.entries(readManifest(source).files)) {
    if (copied(join(source, name), join(incoming, name)) !== sha256) {
      throw new BackupProblem(`${join(source, name)} changed while it was copied.`);
    }
  }
  syncFolder(incoming);
}

/** Copies a file, has it on the disk, and gives the SHA-256 of what was written. */
function copied(from: string, to: string): string {
  const hash = createHash('sha256');
  const source = openSync(from, 'r');
  const target = openSync(to, 'w', 0o600);
  try {
    const block = Buffer.alloc(1024 * 1024);
    for (;;) {
      const bytes = readSync(source, block);
      if (bytes === 0) break;
      hash.update(block.subarray(0, bytes));
      for (let done = 0; done < bytes;) done += writeSync(target, block, done, bytes - done);
    }
    fsyncSync(target);
    return hash.digest('hex');
  } finally {
    closeSync(source);
    closeSync(target);
  }
}

function planFor(folder: string): RestorePlan {
  const files = readdirSync(join(folder, INCOMING)).sort();
  if (!readdirSync(folder).some(isOfStore)) return { aside: null, files };
  let number = 1;
  while (existsSync(join(folder, `before-restore-${number}`))) number += 1;
  return { aside: `before-restore-${number}`, files };
}

function writePlan(folder: string, plan: RestorePlan): void {
  const path = join(folder, INCOMING, PLAN);
  writeFileSync(`${path}.new`, JSON.stringify(plan), { mode: 0o600 });
  syncFile(`${path}.new`);
  syncFolder(folder);
  renameSync(`${path}.new`, path);
  syncFolder(join(folder, INCOMING));
}

/** Each step can be done again after a cut in it: what has been moved is known by where it is. */
function carryOut(folder: string, plan: RestorePlan): void {
  const incoming = join(folder, INCOMING);
  const isComing = (name: string): boolean => existsSync(join(incoming, name));
  const isNew = (name: string): boolean => plan.files.includes(name) && !isComing(name);
  const old = readdirSync(folder).filter((name) => isOfStore(name) && !isNew(name));
  if (old.length > 0) putAside(folder, plan.aside ?? 'before-restore-1', old);
  for (const name of plan.files.filter(isComing)) {
    renameSync(join(incoming, name), join(folder, name));
  }
  syncFolder(folder);
  rmSync(join(incoming, PLAN), { force: true });
  rmSync(incoming, { recursive: true, force: true });
  syncFolder(folder);
}

function putAside(folder: string, aside: string, names: readonly string[]): void {
  const target = join(folder, aside);
  mkdirSync(target, { recursive: true, mode: 0o700 });
  for (const name of names) {
    // One is there already where the daemon ran on while a restore could not be finished.
    let free = join(target, name);
    for (let number = 2; existsSync(free); number += 1) free = join(target, `${name}.${number}`);
    renameSync(join(folder, name), free);
  }
  syncFolder(target);
  syncFolder(folder);
}

/** A plan that the disk has changed: nobody knows any more which files are the new ones. */
function putOutOfTheWay(folder: string): string {
  let number = 1;
  while (existsSync(join(folder, `restore-unreadable-${number}`))) number += 1;
  const name = `restore-unreadable-${number}`;
  renameSync(join(folder, INCOMING), join(folder, name));
  return `A restore was cut short and its plan cannot be read; what had not come into its place is kept in ${name}. Restore the backup again.`;
}

function givenUp(folder: string, error: unknown): BackupProblem {
  if (isRestoreUnfinished(folder)) {
    return new BackupProblem(
      `The backup is copied but not all of it is in its place: ${messageOf(error)}. The next start of panelward finishes it.`,
      { cause: error },
    );
  }
  try {
    rmSync(join(folder, INCOMING), { recursive: true, force: true });
  } catch (again) {
    if (!isFileError(again)) throw again;
  }
  return asProblem('The backup could not be put back', error);
}
