/** Beats as a boat would send them, and a watcher on a scratch folder that hears them. */
import { mkdtempSync, rmSync } from 'node:fs';
import { request } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { onTestFinished } from 'vitest';
import type { Beat } from '../../../daemon/ashore/beat.ts';
import { manualClock } from '../../../daemon/clock.ts';
import type { ManualClock } from '../../../daemon/clock.ts';
import type { Settings } from '../../../daemon/settings/settings.ts';
import { settingsSchema } from '../../../daemon/settings/settings.ts';
import { SIGNATURE_HEADER, signatureOf, TIMESTAMP_HEADER } from '../../../daemon/signature.ts';
import type { Ashore } from '../../../daemon/watch-ashore.ts';
import { startAshore } from '../../../daemon/watch-ashore.ts';
import type { Letter } from '../../../rules/index.ts';

/** 02:14 UTC on a summer night. */
export const START_MS = Date.UTC(2026, 6, 4, 2, 14);
export const SECRET = 'a secret of the heron that nobody guesses';

export function beatOf(own: Partial<Beat> = {}): Beat {
  return {
    format: 1,
    boat: 'Heron',
    version: '0.1.0',
    boot: 3,
    sequence: 1,
    sentAtMs: START_MS,
    clock: 'synchronised',
    everySeconds: 60,
    nextByMs: START_MS + 60_000,
    upSeconds: 7200,
    computer: { run: 'run-1', upSeconds: 7300 },
    mode: 'away',
    isLast: false,
    says: 'shore power on, house battery 76 %, no alert open',
    shore: 'present',
    feeds: [{ bus: 'House bus', by: 'Bow inlet' }],
    batteries: [{ name: 'House battery', stateOfCharge: 0.76, hoursLeft: null }],
    alerts: { count: 0, first: [] },
    lastEvent: 16,
    recent: [],
    ...own,
  };
}

export const SETTINGS: Settings = settingsSchema.parse({
  telling: {
    timeZone: 'UTC',
    contacts: {
      owner: { name: 'Ada', ways: ['mail'] },
      friend: { name: 'Bo', ways: ['mail'], told: 'second' },
    },
  },
  boats: { heron: { name: 'Heron', signingSecret: 'heron', everySeconds: 60 } },
});

export interface Watching {
  ashore: Ashore;
  clock: ManualClock;
  letters: Letter[];
  folder: string;
}

export function scratch(): string {
  const folder = mkdtempSync(join(tmpdir(), 'panelward-ashore-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

/** A watcher on a clock that stands still until told. */
export async function watching({
  folder = scratch(),
  atMs = START_MS,
  settings = SETTINGS,
  secrets = new Map([['heron', SECRET]]),
  letters = [],
}: {
  folder?: string;
  atMs?: number;
  settings?: Settings;
  secrets?: Map<string, string>;
  letters?: Letter[];
} = {}): Promise<Watching> {
  const clock = manualClock(atMs);
  const ashore = await startAshore({
    settings,
    secrets,
    folder,
    host: '127.0.0.1',
    port: 0,
    clock,
    utcNowMs: () => clock.nowMs(),
    tell: (letter) => letters.push(letter),
    log: () => {},
  });
  if ('problem' in ashore) throw new Error(ashore.problem);
  onTestFinished(() => ashore.stop());
  return { ashore, clock, letters, folder };
}

export interface Answered {
  status: number;
  text: string;
  headers: NodeJS.Dict<string | string[]>;
}

/** Posts a body to the watcher with what headers it is given. */
export function send(
  address: string,
  path: string,
  {
    method = 'POST',
    body = '',
    headers = {},
  }: {
    method?: string;
    body?: string | Buffer;
    headers?: Record<string, string>;
  },
): Promise<Answered> {
  return new Promise((resolve, reject) => {
    const sent = request(`${address}${path}`, { method, agent: false, headers }, (answer) => {
      let text = '';
      answer.setEncoding('utf8');
      answer.on('data', (piece: string) => (text += piece));
      answer.on('end', () =>
        resolve({ status: answer.statusCode ?? 0, text, headers: answer.headers }),
      );
    });
    sent.on('error', reject);
    sent.end(body);
  });
}

/** Sends a beat as the boat does. */
export function beats(
  address: string,
  beat: Beat,
  { boat = 'heron', secret = SECRET }: { boat?: string; secret?: string } = {},
): Promise<Answered> {
  const body = JSON.stringify(beat);
  const timestamp = String(beat.sentAtMs);
  return send(address, `/beats/${boat}`, {
    body,
    headers: {
      'content-type': 'application/json',
      [TIMESTAMP_HEADER]: timestamp,
      [SIGNATURE_HEADER]: signatureOf(secret, timestamp, body),
    },
  });
}
