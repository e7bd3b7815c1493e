/** `panelward watch`: a panelward ashore that hears the beats of boats and tells of their silence. */
import { mkdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Letter } from '../rules/index.ts';
import { lastInstantMs, openRecord } from './ashore/record.ts';
import { startServer } from './ashore/server.ts';
import { Watcher } from './ashore/watcher.ts';
import { timeWords } from './ashore/words.ts';
import type { Clock } from './clock.ts';
import { startClock } from './clock.ts';
import type { WatchedBoat } from './settings/boats-section.ts';
import type { Secrets } from './settings/secrets.ts';
import type { Settings } from './settings/settings.ts';
import { signingSecret } from './settings/signing-secret.ts';
import { lastRecordedMs } from './store/store.ts';
import { packageVersion } from './version.ts';
import { startingMs } from './wall-clock.ts';

export interface AshoreOptions {
  settings: Settings;
  secrets: Secrets;
  folder: string;
  host: string;
  port: number;
  /** Takes a letter for good, by its key once; throws if it cannot. */
  tell: (letter: Letter) => void;
  log: (line: string) => void;
  /** UTC as this computer knows it. */
  utcNowMs: () => number;
  /** Its own clock, which begins after everything in the folder; see `ashoreClock`. */
  clock: Clock;
  /** Whole sentences about what stands in the way of telling anybody. */
  problems?: () => string[];
}

export interface Ashore {
  address: string;
  watcher: Watcher;
  stop(): Promise<void>;
}

const RECORD = 'ashore.db';

/** A clock for the watch in `folder`: it begins at the wall clock, or after all that is there. */
export function ashoreClock(folder: string, wallMs: number): Clock {
  const instants = [lastInstantMs(join(folder, RECORD)), lastRecordedMs(folder)];
  const lastMs = Math.max(...instants.map((ms) => ms ?? -Infinity));
  return startClock({ startMs: startingMs(wallMs, Number.isFinite(lastMs) ? lastMs : null) });
}

/** Starts it, or says in one sentence what stood in the way. */
export async function startAshore(options: AshoreOptions): Promise<Ashore | { problem: string }> {
  const { settings, secrets, folder, host, port, tell, log, utcNowMs, clock } = options;
  const boats = boatsWithKeys(settings.boats, secrets);
  if ('problem' in boats) return boats;
  const { passwordSecret, certificate, key } = settings.watch;
  const password = passwordSecret === undefined ? null : signingSecret(secrets, passwordSecret);
  if (password && 'problem' in password) return password;
  try {
    mkdirSync(folder, { recursive: true, mode: 0o700 });
    const path = join(folder, RECORD);
    const tls =
      certificate === undefined || key === undefined
        ? null
        : { cert: readFileSync(certificate, 'utf8'), key: readFileSync(key, 'utf8') };
    const record = openRecord(path, log);
    const { contacts, timeZone } = settings.telling;
    const watcher = new Watcher({
      boats: boats.known,
      contacts,
      timeZone,
      clock,
      utcNowMs,
      record,
      tell,
      log,
      ...(options.problems && { problemsOutside: options.problems }),
    });
    const stopWatching = (): void => {
      watcher.stop();
      record.close();
    };
    try {
      const server = await startServer({
        watcher,
        version: packageVersion(),
        nowMs: () => clock.nowMs(),
        host,
        port,
        ...(password && { pagePassword: password.secret }),
        ...(tls && { tls }),
        when: (ms) => timeWords(timeZone)(ms, utcNowMs()),
        log,
      });
      const scheme = tls ? 'https' : 'http';
      return {
        address: `${scheme}://${host.includes(':') ? `[${host}]` : host}:${server.port}`,
        watcher,
        async stop() {
          await server.stop();
          stopWatching();
        },
      };
    } catch (error) {
      stopWatching();
      throw error;
    }
  } catch (error) {
    if (!isOperating(error)) throw error;
    return { problem: `The watch ashore cannot start: ${error.message}.` };
  }
}

/** What the system or SQLite says has a code; a mistake of ours has none. */
function isOperating(error: unknown): error is Error {
  return error instanceof Error && 'code' in error;
}

function boatsWithKeys(
  boats: Readonly<Record<string, WatchedBoat>>,
  secrets: Secrets,
): { known: Record<string, WatchedBoat & { key: string }> } | { problem: string } {
  if (Object.keys(boats).length === 0) {
    return { problem: 'There is no boat to watch: the settings need a section `boats`.' };
  }
  const known: Record<string, WatchedBoat & { key: string }> = {};
  for (const [id, boat] of Object.entries(boats)) {
    const signing = signingSecret(secrets, boat.signingSecret);
    if ('problem' in signing) return signing;
    known[id] = { ...boat, key: signing.secret };
  }
  return { known };
}
