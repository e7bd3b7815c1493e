/**
 * kill -9 of a process that drains 200 alerts to a receiver, again and again: none is lost, and each
 * kill sends at most one twice. `KILLS=200` in the environment makes a soak of it.
 */
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import { afterAll, beforeAll, expect, it, onTestFinished } from 'vitest';
import { type Bundled, bundled } from './plain-node.ts';

const KILLS = Number(process.env['KILLS'] ?? 5);
const LETTERS = 200;
/**
 * A process is killed after it has sent so many letters at most, and some milliseconds more: by time
 * alone a busy computer would be killed before it sends any.
 */
const SENT_MAX = 10;
const MORE_MS_MAX = 20;
/** A few milliseconds a letter: a receiver as slow as a real one would make a long night of it. */
const ANSWER_MS = 4;

let drainer: Bundled;
beforeAll(async () => {
  drainer = await bundled('tests/faults/post-drainer.ts');
});
afterAll(() => drainer.remove());

interface Receiver {
  port: number;
  /** How often each letter came. */
  came: Map<string, number>;
}

async function startReceiver(): Promise<Receiver> {
  const came = new Map<string, number>();
  const server = createServer((request, response) => {
    const key = String(request.headers['idempotency-key']);
    request.resume();
    request.once('end', () => {
      // Taken before the answer: a kill may come in between.
      came.set(key, (came.get(key) ?? 0) + 1);
      setTimeout(() => response.end('{"ok": true}'), ANSWER_MS);
    });
  });
  server.listen(0, '127.0.0.1');
  await once(server, 'listening');
  onTestFinished(() => {
    server.closeAllConnections();
    server.close();
  });
  return { port: (server.address() as AddressInfo).port, came };
}

async function runAndKill(folder: string, receiver: Receiver, letters: number): Promise<void> {
  const before = receiver.came.size;
  const child = spawn(
    process.execPath,
    [drainer.path, join(folder, 'store'), String(receiver.port), String(LETTERS)],
    { stdio: ['ignore', 'pipe', 'pipe'] },
  );
  let complaint = '';
  child.stderr.on('data', (bytes: Buffer) => {
    complaint += bytes.toString();
  });
  onTestFinished(() => void child.kill('SIGKILL'));
  const ended = once(child, 'exit');
  await Promise.race([once(child.stdout, 'data'), ended]);
  const enough = Math.min(LETTERS, before + letters);
  await expect
    .poll(() => receiver.came.size, { timeout: 60_000, interval: 2 })
    .toBeGreaterThanOrEqual(enough);
  // What came of the last is written, or not.
  await wait(letters === Infinity ? 200 : Math.random() * MORE_MS_MAX);
  child.kill('SIGKILL');
  await ended;
  expect(complaint).toBe('');
  expect(receiver.came.size).toBeGreaterThanOrEqual(before);
}

it(
  `${KILLS} kills while draining lose nothing and repeat one letter each at most`,
  { timeout: 60_000 + KILLS * 5000 },
  async () => {
    const folder = mkdtempSync(join(tmpdir(), 'panelward-kill-post-'));
    onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
    let [kills, whole, lost, twice, worst] = [0, 0, 0, 0, 0];
    while (kills < KILLS) {
      whole += 1;
      const receiver = await startReceiver();
      const own = join(folder, String(whole));
      let killsHere = 0;
      while (receiver.came.size < LETTERS && kills < KILLS) {
        await runAndKill(own, receiver, Math.floor(Math.random() * (SENT_MAX + 1)));
        kills += 1;
        killsHere += 1;
      }
      await runAndKill(own, receiver, Infinity);
      // Each letter itself, and no digest in place of some.
      expect([...receiver.came.keys()].every((key) => key.startsWith('letter.'))).toBe(true);
      lost += LETTERS - receiver.came.size;
      const again = [...receiver.came.values()].reduce((sum, times) => sum + times - 1, 0);
      expect(again).toBeLessThanOrEqual(killsHere);
      twice += again;
      worst = Math.max(worst, ...receiver.came.values());
    }
    console.log(
      `${kills} kills while draining ${whole} x ${LETTERS} alerts: ${lost} lost, ${twice} sent twice, ` +
        `none more than ${worst} times`,
    );
    expect([kills, lost]).toEqual([KILLS, 0]);
    expect(twice).toBeLessThanOrEqual(kills);
  },
);
