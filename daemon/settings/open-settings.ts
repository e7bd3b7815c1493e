/** Settings and secrets from the disk; every problem comes back as lines for a person. */
import { readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { unknownWays } from '../../rules/index.ts';
import { wantingSecrets } from './named-secrets.ts';
import { readSecrets } from './secrets.ts';
import type { Secrets } from './secrets.ts';
import { readSettings } from './read-settings.ts';
import { settingsSchema } from './settings.ts';
import type { Settings } from './settings.ts';

export const SETTINGS_FILE = 'settings.yaml';
export const SECRETS_FILE = 'secrets.yaml';

export interface OpenedSettings {
  settings: Settings;
  secrets: Secrets;
}

/** Larger than any that a person writes; a film given by mistake is not read. */
const MOST_BYTES = 1024 * 1024;

/**
 * Reads the two files of `folder`, or the settings of `settingsFile`; a file of the folder that is
 * not there sets nothing. `secretsFolder`: where the service manager keeps credentials, instead.
 */
export function openSettings(where: {
  folder: string;
  settingsFile?: string;
  secretsFolder?: string;
}): OpenedSettings | { problems: string[] } {
  const { folder, settingsFile, secretsFolder = folder } = where;
  const opened = open(settingsFile ?? join(folder, SETTINGS_FILE), settingsFile === undefined);
  const kept = open(join(secretsFolder, SECRETS_FILE), true);
  const problems = [opened, kept].flatMap(({ problem }) => problem ?? []);
  const secrets = readSecrets(kept.text ?? '', kept.path, modeOf(kept, secretsFolder !== folder));
  // Where the secrets cannot be read, none of them is missing.
  const schema =
    'problems' in secrets || kept.problem !== undefined
      ? settingsSchema
      : wantingSecrets(settingsSchema, secrets.secrets);
  const settings = readSettings(opened.text ?? '', opened.path, schema);
  if ('problems' in settings) problems.push(...settings.problems);
  if ('problems' in secrets) problems.push(...secrets.problems);
  if ('problems' in settings || 'problems' in secrets || problems.length > 0) return { problems };
  const { telling, ways } = settings.settings;
  // A sounder or a notification of what stands takes no letters.
  const forLetters = Object.keys(ways).filter((id) => {
    const kind = ways[id]?.kind;
    return kind !== 'sounder' && kind !== 'marine-data';
  });
  const unknown = unknownWays(telling, forLetters);
  if (unknown.length > 0) return { problems: unknown.map((line) => `${opened.path}: ${line}`) };
  return { settings: settings.settings, secrets: secrets.secrets };
}

/** Neither text nor problem: it is not there, and need not be. */
interface OpenedFile {
  path: string;
  text?: string;
  mode?: number;
  problem?: string;
}

/** What looks like its group's rights may be the service manager's list of who may read (acl(5)). */
function modeOf({ mode = 0 }: OpenedFile, isCredential: boolean): number {
  return isCredential ? mode & ~0o070 : mode;
}

function open(path: string, mayBeAbsent: boolean): OpenedFile {
  try {
    const { size, mode } = statSync(path);
    if (size > MOST_BYTES) return { path, problem: `${path}: is larger than 1 MiB` };
    return { path, text: readFileSync(path, 'utf8'), mode };
  } catch (error) {
    const code = error instanceof Error && 'code' in error ? error.code : undefined;
    if (code === 'ENOENT' && mayBeAbsent) return { path };
    const why = error instanceof Error ? error.message : String(error);
    return { path, problem: `${path}: cannot be read: ${why}` };
  }
}
