/**
 * Passwords and keys, apart from the settings that name them: a flat YAML map in a file that only
 * its owner may read. They go to whoever uses them and nowhere else, neither log nor export.
 */
import * as z from 'zod';
import { readSettings } from './read-settings.ts';

export type Secrets = ReadonlyMap<string, string>;

const secretsSchema = z.record(
  z.string(),
  z.string('must be text; put a number in quotes').min(1, 'must not be empty').max(8192),
);

/** Read, write or execute for group or others. */
const SHARED_BITS = 0o077;

/** `mode`: of the file, as the file system tells it. Problems never repeat what stands in it. */
export function readSecrets(
  text: string,
  fileName: string,
  mode: number,
): { secrets: Secrets } | { problems: string[] } {
  if ((mode & SHARED_BITS) !== 0) {
    return {
      problems: [
        `${fileName}: others on this computer can read it; allow its owner only: chmod 600 ${fileName}`,
      ],
    };
  }
  const read = readSettings(text, fileName, secretsSchema);
  if ('problems' in read) return read;
  return { secrets: new Map(Object.entries(read.settings)) };
}
