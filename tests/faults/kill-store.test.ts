/**
 * kill -9 of a process that commits under load, again and again on the same files. `KILLS=2000`
 * in the environment makes a night of it; the default is short enough for every run.
 */
import Database from 'better-sqlite3';
import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { manualClock } from '../../daemon/clock.ts';
import { openStore, type Store } from '../../daemon/store/store.ts';
import { type Bundled, bundled } from './plain-node.ts';
import { eventWith, watchAt } from './records.ts';

const KILLS = Number(process.env['KILLS'] ?? 50);
const LOAD_MS_MAX = 150;
const POINTS = 40;
/** The check after each kill reads whole files, so a long night takes new ones now and then. */
const KILLS_PER_FOLDER = 100;

let writer: Bundled;
let folder: string;
beforeAll(async () => {
  writer = await bundled('tests/faults/store-writer.ts');
});
afterAll(() => writer.remove());
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'panelward-kill-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

interface Promised {
  /** Last event that the store called durable, of all runs. */
  seq: number;
  /** Instants of readings that were flushed. */
  readingsAtMs: number[];
}

const rounds = Array.from({ length: Math.ceil(KILLS / KILLS_PER_FOLDER) }, (_, round) =>
  Math.min(KILLS_PER_FOLDER, KILLS - round * KILLS_PER_FOLDER),
);

describe('kill -9', () => {
  it.each(rounds)(
    '%d times loses no promised event, leaves no gap, and the files open',
    { timeout: 60_000 + KILLS_PER_FOLDER * 3000 },
    async (kills) => {
      const promised: Promised = { seq: 0, readingsAtMs: [] };
      let unpromised = 0;
      for (let kill = 0; kill < kills; kill += 1) {
        await runAndKill(promised);
        unpromised += await check(promised);
      }
      console.log(
        `${kills} kills: ${promised.seq} events and ${promised.readingsAtMs.length} flushes of ` +
          `readings promised, none lost; ${unpromised} events were on the disk before the promise`,
      );
      expect(promised.seq).toBeGreaterThan(kills);
    },
  );
});

/** Lets the writer work for a random while after it opened the store, then kills it. */
async function runAndKill(promised: Promised): Promise<void> {
  const promises = join(folder, 'promises.txt');
  writeFileSync(promises, '');
  const child = spawn(process.execPath, [writer.path, join(folder, 'store'), promises], {
    stdio: ['ignore', 'ignore', 'pipe'],
  });
  let complaint = '';
  child.stderr.on('data', (bytes: Buffer) => {
    complaint += bytes.toString();
  });
  const ended = new Promise((resolve) => child.once('exit', resolve));
  await opened(child, promises, () => complaint);
  await wait(Math.random() * LOAD_MS_MAX);
  child.kill('SIGKILL');
  await ended;
  expect(complaint).toBe('');
  for (const line of readFileSync(promises, 'utf8').split('\n').slice(0, -1)) {
    const [what, number] = line.split(' ');
    expect(what).not.toBe('refused');
    if (what === 'event') promised.seq = Number(number);
    if (what === 'readings') promised.readingsAtMs.push(Number(number));
  }
}

async function opened(child: ChildProcess, promises: string, complaint: () => string) {
  while (!readFileSync(promises, 'utf8').startsWith('open\n')) {
    if (child.exitCode !== null) throw new Error(`the writer ended by itself: ${complaint()}`);
    await wait(5);
  }
}

/** Opens the files as the daemon does after a restart. Gives the events that nobody was promised. */
async function check(promised: Promised): Promise<number> {
  const store = openStore({
    folder: join(folder, 'store'),
    clock: manualClock(0),
    log: (line) => expect.fail(line),
  });
  const last = store.lastSeq();
  expect(last).toBeGreaterThanOrEqual(promised.seq);
  // Three events at most are in one commit, and one commit at most went without its promise.
  expect(last).toBeLessThanOrEqual(promised.seq + 3);
  expect(store.loadWatch()).toEqual(last === 0 ? null : watchAt(last));
  expect(store.health().problems).toEqual([]);
  await checkReadings(store, promised);
  store.close();
  checkRows(last);
  const unpromised = last - promised.seq;
  promised.seq = last;
  return unpromised;
}

/** Row by row, with SQLite itself rather than through the store. */
function checkRows(last: number): void {
  const alerts = new Database(join(folder, 'store', 'alerts.db'), { readonly: true });
  expect(alerts.pragma('integrity_check', { simple: true })).toBe('ok');
  const seqs = alerts
    .prepare('SELECT count(*), coalesce(max(seq), 0) FROM alert_event')
    .raw()
    .get();
  expect(seqs).toEqual([last, last]);
  const newest = alerts
    .prepare('SELECT alert_json FROM alert_event WHERE seq = ?')
    .pluck()
    .get(last);
  if (last > 0) expect(JSON.parse(String(newest))).toEqual(eventWith(last).alert);
  alerts.close();

  const history = new Database(join(folder, 'store', 'history.db'), { readonly: true });
  expect(history.pragma('integrity_check', { simple: true })).toBe('ok');
  history.close();
}

/** Every instant that was promised has all of its points, whether in the journal or in a chunk. */
async function checkReadings(store: Store, { readingsAtMs }: Promised): Promise<void> {
  const points = Array.from({ length: POINTS }, (_, point) => `point-${point}`);
  const found = new Map<number, number>();
  const query = { points, fromMs: 0, toMs: Number.MAX_SAFE_INTEGER };
  for await (const batch of store.reader.readings(query)) {
    for (const { pointId, atMs, value } of batch) {
      // What the writer made of it.
      expect(value).toBe(atMs + Number(pointId.slice('point-'.length)));
      found.set(atMs, (found.get(atMs) ?? 0) + 1);
    }
  }
  for (const atMs of readingsAtMs) expect(found.get(atMs)).toBe(POINTS);
}
