/** A silence goes out by the ways of the settings, through an outbox that outlives the watcher. */
import { createServer } from 'node:http';
import { describe, expect, onTestFinished, test } from 'vitest';
import { lettersOf } from '../../../daemon/ashore/letters.ts';
import { timeWords } from '../../../daemon/ashore/words.ts';
import { openAshoreOffice } from '../../../daemon/ashore-office.ts';
import type { AshoreOffice } from '../../../daemon/ashore-office.ts';
import { startClock } from '../../../daemon/clock.ts';
import { settingsSchema } from '../../../daemon/settings/settings.ts';
import { ashoreClock } from '../../../daemon/watch-ashore.ts';
import { beatOf, scratch, START_MS } from './beats.ts';

interface Hook {
  url: string;
  keys: string[];
  isUp: boolean;
}

async function hook(): Promise<Hook> {
  const own: Hook = { url: '', keys: [], isUp: true };
  const server = createServer((request, reply) => {
    request.resume();
    request.on('end', () => {
      if (own.isUp) own.keys.push(String(request.headers['idempotency-key']));
      reply.writeHead(own.isUp ? 200 : 503, { 'content-type': 'application/json' });
      reply.end('{"ok": true}');
    });
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  onTestFinished(() => void server.close());
  const address = server.address();
  own.url = `http://127.0.0.1:${typeof address === 'object' && address ? address.port : 0}/`;
  return own;
}

function office(folder: string, url: string): AshoreOffice {
  const opened = openAshoreOffice({
    settings: settingsSchema.parse({
      telling: { timeZone: 'UTC', contacts: { owner: { name: 'Ada', ways: ['hook'] } } },
      ways: { hook: { kind: 'webhook', url, keySecret: 'hook', onBoat: true } },
    }),
    secrets: new Map([['hook', 'the key of the hook']]),
    folder,
    clock: ashoreClock(folder, START_MS),
    wall: { nowMs: () => START_MS, synchronisedAtMs: async () => null, machineRun: null },
    random: () => 0.5,
    log: () => {},
  });
  if ('problem' in opened) throw new Error(opened.problem);
  return opened;
}

const [letter] = lettersOf(
  {
    type: 'overdue',
    silence: { sinceMs: START_MS, times: 1, nextAtMs: START_MS + 3_600_000 },
    last: { beat: beatOf(), receivedAtMs: START_MS },
    atMs: START_MS,
  },
  {
    boat: 'heron',
    name: 'Heron',
    contacts: {
      owner: { name: 'Ada', told: 'first', ways: ['hook'], priority: 'warning', modes: ['away'] },
    },
    at: timeWords('UTC'),
  },
);

describe('a letter about a silence', () => {
  test('goes out once, however often it is handed over', async () => {
    if (!letter) throw new Error('no letter was written');
    const { url, keys } = await hook();
    const own = office(scratch(), url);
    own.tell(letter);
    own.tell(letter);
    await until(() => keys.length > 0);
    own.tell(letter);
    await own.stop();
    expect(keys).toEqual([letter.key]);
  });

  test('that could not go waits on the disk for the next start', async () => {
    if (!letter) throw new Error('no letter was written');
    const folder = scratch();
    const receiver = await hook();
    receiver.isUp = false;
    const first = office(folder, receiver.url);
    first.tell(letter);
    await first.stop();
    expect(receiver.keys).toEqual([]);
    receiver.isUp = true;
    const second = office(folder, receiver.url);
    await until(() => receiver.keys.length > 0);
    await second.stop();
    expect(receiver.keys).toEqual([letter.key]);
  });
});

/** Real time, for the network is real; ten seconds at most. */
async function until(isSo: () => boolean): Promise<void> {
  const clock = startClock();
  for (let tries = 0; tries < 500 && !isSo(); tries++) {
    await new Promise<void>((resolve) => void clock.after(20, resolve));
  }
  expect(isSo()).toBe(true);
}
