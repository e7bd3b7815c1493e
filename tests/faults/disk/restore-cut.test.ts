/**
 * `panelward restore` is cut short by the power at every step of it, or by a disk that fails: the next
 * start finds the old record or the new one, whole, never parts of both. The model of a cut is in
 * power-cut.ts; a process that is killed is the case in which all of what it did has come.
 * `CUTS_EACH=20` makes more of it; the seed is printed.
 */
import { execFileSync } from 'node:child_process';
import {
  cpSync,
  existsSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it, onTestFailed } from 'vitest';
import { manualClock } from '../../../daemon/clock.ts';
import { backUp } from '../../../daemon/store/backup.ts';
import { checkedRecord } from '../../../daemon/store/integrity.ts';
import { lastRecordedMs, openStore } from '../../../daemon/store/store.ts';
import { viewRecord } from '../../../daemon/store/record-viewer.ts';
import { type Bundled, bundled } from '../plain-node.ts';
import { eventWith, watchAt } from '../records.ts';
import { type Change, changesIn, cutPower } from './power-cut.ts';
import { randomFrom } from './random.ts';
import { compiledShim, ERRNO, type Shim } from './shim.ts';

const CUTS_EACH = Number(process.env['CUTS_EACH'] ?? 2);
const SEED = Number(process.env['SEED'] ?? Math.floor(Math.random() * 2 ** 31));
const START_MS = 1_777_615_200_000;
/** Events and readings of the store, and of the backup that is put back. */
const OLD = { events: 12, readings: 300 };
const NEW = { events: 5, readings: 200 };

let worker: Bundled;
let shim: Shim;
let root: string;
let old: string;
let backup: string;
beforeAll(async () => {
  shim = compiledShim();
  worker = await bundled('tests/faults/disk/restorer.ts');
  root = mkdtempSync(join(tmpdir(), 'panelward-restore-cut-'));
  [old, backup] = [join(root, 'old'), join(root, 'backup')];
  fill(old, OLD);
  fill(join(root, 'source'), NEW);
  backUp(join(root, 'source'), backup, START_MS);
});
afterAll(() => {
  worker.remove();
  shim.remove();
  rmSync(root, { recursive: true, force: true });
});

function fill(folder: string, { events, readings }: typeof OLD): void {
  const clock = manualClock(START_MS);
  const store = openStore({ folder, clock, log: () => {}, ballastBytes: 0 });
  for (let seq = 1; seq <= events; seq += 1) {
    store.commit({ alertEvents: [eventWith(seq)], panelEvents: [], savedWatch: watchAt(seq) });
  }
  for (let index = 0; index < readings; index += 1) {
    store.addReading({ pointId: 'volts', value: 12, atMs: START_MS + index * 1000 });
  }
  store.close();
}

/** Runs a restore under the shim; what it said. */
function restored(folder: string, shimSays: Record<string, string>): string {
  const env = { ...process.env, LD_PRELOAD: shim.path, SHIM_FOLDER: `${folder}/`, ...shimSays };
  const args = [worker.path, backup, folder];
  return execFileSync(process.execPath, args, { env, encoding: 'utf8' }).trim();
}

interface Found {
  events: number;
  readings: number;
  problems: string[];
}

/** Starts on what is left, as the daemon would. */
async function foundIn(folder: string): Promise<Found> {
  const lastMs = lastRecordedMs(folder);
  const store = openStore({ folder, clock: manualClock(START_MS), log: () => {}, ballastBytes: 0 });
  const events = store.lastSeq();
  expect(store.loadWatch()).toEqual(watchAt(events));
  expect(lastMs).toBeGreaterThanOrEqual(watchAt(events).atMs);
  const query = { points: ['volts'], fromMs: START_MS, toMs: START_MS + 1e6, buckets: 1 };
  const { series } = await store.history(query);
  const { problems } = store.health();
  store.close();
  expect(checkedRecord(folder).flatMap((checked) => checked.problems)).toEqual([]);
  expect(existsSync(join(folder, 'restoring'))).toBe(false);
  return { events, readings: series[0]?.buckets[0]?.[4] ?? 0, problems };
}

/** The old record, or the new one with the old one kept aside. */
async function expectOldOrNew(folder: string): Promise<Found> {
  const found = await foundIn(folder);
  const { problems, ...counts } = found;
  expect([OLD, NEW]).toContainEqual(counts);
  if (counts.events === NEW.events) {
    expect(readdirSync(folder)).toContain('before-restore-1');
    expect(await foundIn(join(folder, 'before-restore-1'))).toMatchObject(OLD);
  }
  for (const problem of problems) expect(problem).toMatch(/^A restore (was|had been) cut short/);
  return found;
}

function filesOf(folder: string): Map<string, Buffer> {
  const names = readdirSync(folder);
  return new Map(names.map((name) => [join(folder, name), readFileSync(join(folder, name))]));
}

describe('a restore that the power cuts short', () => {
  it(
    `leaves the old record or the new one, at every step and in ${CUTS_EACH} ways each`,
    { timeout: 120_000 + CUTS_EACH * 60_000 },
    async () => {
      onTestFailed(() => console.error(`seed ${SEED}`));
      const folder = join(root, 'work');
      cpSync(old, folder, { recursive: true });
      const before = { root: folder, files: filesOf(folder) };
      const record = join(root, 'record');
      writeFileSync(record, '');
      expect(restored(folder, { SHIM_RECORD: record })).toBe('aside before-restore-1');
      const changes: Change[] = changesIn(record);
      expect(changes.length).toBeGreaterThan(20);
      const random = randomFrom(SEED);
      const counts = { old: 0, new: 0, said: 0 };
      for (let count = 0; count <= changes.length; count += 1) {
        for (let way = 0; way < CUTS_EACH; way += 1) {
          // The first way: everything that was done has come, as when the process is killed.
          const luck = way === 0 ? () => 0.69 : random;
          const cut = join(root, 'cut');
          cutPower(changes, count, cut, luck, before);
          const { events, problems } = await expectOldOrNew(cut);
          counts[events === OLD.events ? 'old' : 'new'] += 1;
          counts.said += problems.length;
          if (count === 0) expect(events).toBe(OLD.events);
          if (count === changes.length) expect(events).toBe(NEW.events);
        }
      }
      console.log(
        `${changes.length + 1} places, ${CUTS_EACH} cuts each, seed ${SEED}: ` +
          `${counts.old} old, ${counts.new} new, ${counts.said} said`,
      );
      expect(Math.min(counts.old, counts.new, counts.said)).toBeGreaterThan(3);
    },
  );

  it('is finished before anything else reads or copies the record', () => {
    const folder = join(root, 'half');
    cpSync(old, folder, { recursive: true });
    cpSync(backup, join(folder, 'restoring'), { recursive: true });
    const plan = { aside: 'before-restore-1', files: ['alerts.db', 'history.db'] };
    writeFileSync(join(folder, 'restoring', 'plan.json'), JSON.stringify(plan));
    expect(() => viewRecord(folder)).toThrow(/was cut short\. Start panelward on it once/);
    expect(() => backUp(folder, join(root, 'copy'), START_MS)).toThrow(/was cut short/);
  });

  it('and whose plan the disk has changed is said, and the boat is watched all the same', () => {
    const folder = join(root, 'unplanned');
    cpSync(old, folder, { recursive: true });
    cpSync(backup, join(folder, 'restoring'), { recursive: true });
    const reaching = { aside: '../elsewhere', files: [] };
    writeFileSync(join(folder, 'restoring', 'plan.json'), JSON.stringify(reaching));
    const clock = manualClock(START_MS);
    const store = openStore({ folder, clock, log: () => {}, ballastBytes: 0 });
    expect(store.lastSeq()).toBe(OLD.events);
    expect(store.health().problems.join()).toMatch(/plan cannot be read.*restore-unreadable-1/);
    store.close();
    expect(readdirSync(join(folder, 'restore-unreadable-1'))).toContain('alerts.db');
  });
});

describe('a restore on a disk that fails', () => {
  it.each([
    ['EIO', [3, 6, 9, 12, 15, 18, 21]],
    ['ENOSPC', [4, 7]],
  ] as const)('with %s for good leaves the old record or the new one', async (errno, places) => {
    const outcomes = new Set<string>();
    for (const at of places) {
      const folder = join(root, `${errno}-${at}`);
      cpSync(old, folder, { recursive: true });
      const said = restored(folder, { SHIM_FAIL: `${at} ${ERRNO[errno]} sticky writes` });
      const { events, problems } = await expectOldOrNew(folder);
      // Whoever asked was told the truth: it is done, it is as it was, or the start finishes it.
      if (said.startsWith('aside')) expect(events).toBe(NEW.events);
      else if (said.includes('The next start of panelward finishes it')) {
        expect({ events, said: problems.length }).toEqual({ events: NEW.events, said: 1 });
      } else expect(events).toBe(OLD.events);
      outcomes.add(said.replaceAll(/[:].*/g, ''));
    }
    console.log(`${errno}: ${[...outcomes].join('; ')}`);
    expect(outcomes.size).toBeGreaterThan(0);
  });
});
