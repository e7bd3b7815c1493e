/** Reads a boat file from the disk; every problem comes back as lines for a person. */
import { readFileSync, statSync } from 'node:fs';
import { formatProblem, readBoat } from '../rules/index.ts';
import type { Boat } from '../rules/index.ts';

export interface BoatFile {
  boat: Boat | null;
  /** `file:line:col: ...`, errors and warnings, in the order of the file. */
  lines: string[];
}

/** `readBoat` says precisely what is too long; this only keeps a film from being read. */
const MOST_BYTES = 4 * 1024 * 1024;

export function openBoatFile(path: string): BoatFile {
  let text: string;
  try {
    if (statSync(path).size > MOST_BYTES) {
      return { boat: null, lines: [`${path}: is larger than 4 MiB; a boat file is not`] };
    }
    text = readFileSync(path, 'utf8');
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    return { boat: null, lines: [`${path}: cannot be read: ${why}`] };
  }
  const { boat, problems } = readBoat(text, path);
  return { boat, lines: problems.map(formatProblem) };
}
