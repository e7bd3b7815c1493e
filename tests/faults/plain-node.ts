/**
 * Makes a TypeScript file of the tests run in a process of its own by plain Node: a fault test has
 * to end a real process, or bind a real process's hands.
 */
import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { build } from 'vite';

const ROOT = new URL('../..', import.meta.url).pathname;

export interface Bundled {
  /** What to give to `node`. */
  path: string;
  remove(): void;
}

/** Bundles `entry` (path from the project's root); packages stay outside, found from there. */
export async function bundled(entry: string): Promise<Bundled> {
  // Inside the project, so that Node finds the packages.
  mkdirSync(join(ROOT, '.build'), { recursive: true });
  const outDir = mkdtempSync(join(ROOT, '.build', 'fault-'));
  await build({
    root: ROOT,
    configFile: false,
    logLevel: 'error',
    build: { ssr: join(ROOT, entry), outDir, target: 'node20', minify: false },
  });
  const name = entry.split('/').at(-1)?.replace(/\.ts$/, '.js') ?? '';
  return { path: join(outDir, name), remove: () => rmSync(outDir, { recursive: true }) };
}
