/** `panelward backup` and `panelward restore`: a folder or a tar file, lines for a person, an exit code. */
import { execFileSync } from 'node:child_process';
import { existsSync, mkdtempSync, renameSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, dirname, join, resolve } from 'node:path';
import type { Print } from './check.ts';
import { backUp, BackupProblem, type BackupMade } from './store/backup.ts';
import { restore } from './store/restore.ts';

const isTar = (path: string): boolean => path.endsWith('.tar');

/** 0 when the backup is made and checked, 1 otherwise. `nowMs`: by the wall clock, for its label. */
export function makeBackup(
  given: { folder: string; target: string; nowMs: number },
  print: Print,
): number {
  return reported(print, () => {
    const target = resolve(given.target);
    const { files, bytes } = isTar(target)
      ? backUpToTar(given.folder, target, given.nowMs)
      : backUp(given.folder, target, given.nowMs);
    const megabytes = (bytes / 1e6).toFixed(1);
    print(`${target}: ${files.length} files, ${megabytes} MB, read back and found whole.`);
  });
}

/** 0 when the backup is in place, 1 otherwise; then everything is as it was, or is finished at the next start. */
export function putBack(given: { folder: string; source: string }, print: Print): number {
  return reported(print, () => {
    const source = resolve(given.source);
    if (!existsSync(source)) throw new BackupProblem(`There is no ${source}.`);
    const aside = statSync(source).isDirectory()
      ? restore(source, given.folder)
      : restoreFromTar(source, given.folder);
    print(`${given.folder} is as it was when ${source} was made.`);
    if (aside !== null) print(`What was there before is kept in ${join(given.folder, aside)}.`);
  });
}

function reported(print: Print, work: () => void): number {
  try {
    work();
    return 0;
  } catch (error) {
    if (!(error instanceof BackupProblem)) throw error;
    print(error.message);
    return 1;
  }
}

/** Beside the target, so that one rename makes it whole. */
function backUpToTar(folder: string, target: string, nowMs: number): BackupMade {
  if (existsSync(target)) throw new BackupProblem(`${target} is there already. Give another name.`);
  const parts = `${target}.parts`;
  const made = backUp(folder, parts, nowMs);
  try {
    tar(['-cf', `${target}.partial`, '-C', parts, ...made.files]);
    renameSync(`${target}.partial`, target);
    return made;
  } finally {
    rmSync(parts, { recursive: true, force: true });
    rmSync(`${target}.partial`, { force: true });
  }
}

function restoreFromTar(source: string, folder: string): string | null {
  // On the same disk as the store where that is there: the temporary folder may be small.
  const near = existsSync(dirname(resolve(folder))) ? dirname(resolve(folder)) : tmpdir();
  const parts = mkdtempSync(join(near, `${basename(source)}-`));
  try {
    tar(['-xf', source, '-C', parts, '--no-same-owner']);
    return restore(parts, folder);
  } finally {
    rmSync(parts, { recursive: true, force: true });
  }
}

/** Throws BackupProblem with what tar says. */
function tar(args: readonly string[]): void {
  try {
    execFileSync('tar', args, { stdio: ['ignore', 'ignore', 'pipe'], encoding: 'utf8' });
  } catch (error) {
    const said = error instanceof Error ? error.message : String(error);
    throw new BackupProblem(said.replaceAll(/\s+/g, ' ').trim(), { cause: error });
  }
}
