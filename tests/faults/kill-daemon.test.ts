/**
 * kill -9 of the whole daemon while sensors speak and alerts come and go: every alert event that
 * anyone was told over the live stream is on the disk afterwards, in order and without a gap, and
 * the next start goes on from there. `KILLS=50` in the environment makes more of it.
 */
import { spawn } from 'node:child_process';
import type { ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { setTimeout as wait } from 'node:timers/promises';
import Database from 'better-sqlite3';
import mqtt from 'mqtt';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';

const KILLS = Number(process.env['KILLS'] ?? 8);
const ROOT = new URL('../..', import.meta.url).pathname;
const MAIN = join(ROOT, '.build', 'daemon', 'main.js');
const BOAT = join(ROOT, 'tests', 'fixtures', 'boats', 'restless.yaml');

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'panelward-kill-daemon-'));
});
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
});

interface Running {
  child: ChildProcess;
  page: string;
  broker: string;
}

async function start(): Promise<Running> {
  const args = [MAIN, 'run', '--boat', BOAT, '--data', folder, '--port', '0', '--mqtt-port', '0'];
  const child = spawn(process.execPath, args, { stdio: ['ignore', 'pipe', 'pipe'] });
  let page = '';
  for await (const line of createInterface({ input: child.stdout })) {
    page = /page is at (\S+)/.exec(line)?.[1] ?? page;
    const broker = /MQTT at ([\d.]+:\d+)/.exec(line)?.[1];
    if (broker) return { child, page, broker: `mqtt://${broker}` };
  }
  throw new Error('the daemon did not start');
}

/** Collects the numbers of the alert events that are told, until the connection is cut. */
async function listen(page: string, told: number[]): Promise<void> {
  try {
    const answer = await fetch(`${page}/api/v1/live`);
    let rest = '';
    for await (const bytes of answer.body ?? []) {
      rest += Buffer.from(bytes).toString();
      const blocks = rest.split('\n\n');
      rest = blocks.pop() ?? '';
      for (const block of blocks) {
        if (!block.startsWith('event: alert\n')) continue;
        const seq = /"seq":(\d+)/.exec(block)?.[1];
        if (seq !== undefined) told.push(Number(seq));
      }
    }
  } catch {
    // The daemon was killed; that is what ends a connection here.
  }
}

/** Touches the loads many times a second until stopped. */
async function load(broker: string, signal: AbortSignal): Promise<void> {
  const client = await mqtt.connectAsync(broker, { reconnectPeriod: 0 });
  client.on('error', () => {});
  const amps = (): number => (Math.random() < 0.5 ? 0 : 12);
  while (!signal.aborted && client.connected) {
    const payload = { pump: amps(), boiler: amps(), kettle: amps(), heater: amps() };
    client.publish('loads', JSON.stringify(payload));
    await wait(5);
  }
  client.end(true);
}

function recorded(): number[] {
  const db = new Database(join(folder, 'alerts.db'));
  try {
    expect(db.pragma('quick_check', { simple: true })).toBe('ok');
    return db.prepare<[], number>('SELECT seq FROM alert_event ORDER BY seq').pluck().all();
  } finally {
    db.close();
  }
}

describe(`kill -9 of the daemon, ${KILLS} times`, () => {
  test('loses no alert event that was told', { timeout: 60_000 + KILLS * 15_000 }, async () => {
    const told: number[] = [];
    for (let kill = 0; kill < KILLS; kill++) {
      const { child, page, broker } = await start();
      const ended = once(child, 'exit');
      const stop = new AbortController();
      const listening = listen(page, told);
      const loading = load(broker, stop.signal);
      await wait(1200 + Math.random() * 1500);
      child.kill('SIGKILL');
      await ended;
      stop.abort();
      await Promise.all([listening, loading]);

      const onDisk = recorded();
      expect(onDisk).toEqual(onDisk.map((_, i) => i + 1));
      expect(told.filter((seq) => !onDisk.includes(seq))).toEqual([]);
    }
    console.log(
      `${KILLS} kills: ${told.length} alert events told, ${recorded().length} on the disk`,
    );
    expect(new Set(told).size).toBe(told.length);
    expect(told.length).toBeGreaterThan(KILLS);
  });
});
