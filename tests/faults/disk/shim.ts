/** Compiles the shim between a process and its files, and runs a worker under it. */
import { execFile, execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import type { Report } from './worker.ts';

const run = promisify(execFile);

export interface Shim {
  path: string;
  remove(): void;
}

/** Needs a C compiler; `tests/install-needs.sh` sees to it. */
export function compiledShim(): Shim {
  const folder = mkdtempSync(join(tmpdir(), 'panelward-shim-'));
  const path = join(folder, 'shim.so');
  const source = new URL('shim.c', import.meta.url).pathname;
  execFileSync('cc', ['-shared', '-fPIC', '-O1', '-Wall', '-o', path, source, '-ldl', '-pthread']);
  return { path, remove: () => rmSync(folder, { recursive: true, force: true }) };
}

export const ERRNO = { EIO: 5, ENOSPC: 28, EROFS: 30 } as const;

export interface Work {
  worker: string;
  shim: Shim;
  /** Folder of the store; the shim sees what is in it. */
  folder: string;
  /** Where the worker notes what it was promised. */
  promises: string;
  /**
   * The n-th call fails; none without it. Reads count for EIO: a full disk, or one that is
   * read-only, can be read.
   */
  fail?: { at: number; errno: keyof typeof ERRNO; isSticky: boolean };
  /** A file; once it is there nothing fails any more. The worker makes it near its end. */
  lift?: string;
  /** Gets every change in order. */
  record?: string;
}

/** Runs the worker to its end. Rejects if it crashes. */
export async function worked({ worker, shim, fail, ...work }: Work): Promise<Report> {
  const env: NodeJS.ProcessEnv = { ...process.env, LD_PRELOAD: shim.path };
  env['SHIM_FOLDER'] = `${work.folder}/`;
  if (work.lift !== undefined) env['SHIM_LIFT'] = work.lift;
  if (work.record !== undefined) env['SHIM_RECORD'] = work.record;
  if (fail) {
    const { at, errno, isSticky } = fail;
    const reads = errno === 'EIO' ? 'reads' : 'writes';
    env['SHIM_FAIL'] = `${at} ${ERRNO[errno]} ${isSticky ? 'sticky' : 'once'} ${reads}`;
  }
  const args = [worker, work.folder, work.promises, work.lift ?? ''];
  const { stdout } = await run(process.execPath, args, { env, timeout: 60_000 });
  const report: Report = JSON.parse(stdout);
  return report;
}

/** Calls `work` with each of `cases`, two at a time. */
export async function twoAtATime<Case>(
  cases: readonly Case[],
  work: (each: Case) => Promise<void>,
): Promise<void> {
  const left = [...cases];
  const lane = async (): Promise<void> => {
    for (let next = left.shift(); next !== undefined; next = left.shift()) await work(next);
  };
  await Promise.all([lane(), lane()]);
}
