/**
 * Damage to what is on the disk: one random 512-byte sector of any file of the store, and each kind
 * of damage to a write-ahead log (cut short, a bit turned in its header, middle and last frame, one
 * that is missing, one that belongs to an older file). The store opens, says so where it lost
 * something, and no promised alert event is gone: each is on the disk twice.
 * `SECTORS=300` makes more of it; the seed is printed.
 */
import {
  closeSync,
  cpSync,
  mkdtempSync,
  openSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  truncateSync,
  writeFileSync,
  writeSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it, onTestFailed } from 'vitest';
import { manualClock } from '../../../daemon/clock.ts';
import { openStore } from '../../../daemon/store/store.ts';
import { eventWith, watchAt } from '../records.ts';
import { expectKept } from './found.ts';
import { randomFrom } from './random.ts';

const SECTORS = Number(process.env['SECTORS'] ?? 40);
const SEED = Number(process.env['SEED'] ?? Math.floor(Math.random() * 2 ** 31));
const EVENTS = 150;
const SECTOR = 512;

let root: string;
/** A store that was closed, and one whose process died with its log not yet folded in. */
let closed: string;
let died: string;
beforeAll(() => {
  root = mkdtempSync(join(tmpdir(), 'panelward-sectors-'));
  closed = join(root, 'closed');
  died = join(root, 'died');
  const clock = manualClock(1_777_615_200_000);
  const store = openStore({ folder: closed, clock, log: () => {}, ballastBytes: 0 });
  for (let seq = 1; seq <= EVENTS; seq += 1) {
    store.commit({ alertEvents: [eventWith(seq)], panelEvents: [], savedWatch: watchAt(seq) });
    for (let point = 0; point < 8; point += 1) {
      store.addReading({ pointId: `point-${point}`, value: seq + point, atMs: clock.nowMs() });
    }
    clock.advanceTo(clock.nowMs() + (seq <= EVENTS - 20 ? 2000 : 10));
  }
  store.flush();
  cpSync(closed, died, { recursive: true });
  store.close();
});
afterAll(() => rmSync(root, { recursive: true, force: true }));

function copyOf(folder: string): string {
  const copy = join(root, 'copy');
  rmSync(copy, { recursive: true, force: true });
  cpSync(folder, copy, { recursive: true });
  // Shared memory does not outlive the computer.
  for (const name of readdirSync(copy)) if (name.endsWith('-shm')) rmSync(join(copy, name));
  return copy;
}

function overwrite(path: string, at: number, bytes: Buffer): void {
  const file = openSync(path, 'r+');
  writeSync(file, bytes, 0, bytes.length, at);
  closeSync(file);
}

describe(`a random sector, ${SECTORS} times`, () => {
  it('takes no promised event with it', { timeout: 60_000 + SECTORS * 2000 }, () => {
    onTestFailed(() => console.error(`seed ${SEED}`));
    const random = randomFrom(SEED);
    const counts = { files: new Map<string, number>(), said: 0, setAside: 0 };
    for (let round = 0; round < SECTORS; round += 1) {
      const folder = copyOf(round % 2 === 0 ? closed : died);
      const names = readdirSync(folder).filter((each) => statSync(join(folder, each)).size > 0);
      const name = names[Math.floor(random() * names.length)] ?? '';
      const path = join(folder, name);
      const sector = Math.floor((random() * statSync(path).size) / SECTOR);
      const bytes = Buffer.from(Array.from({ length: SECTOR }, () => Math.floor(random() * 256)));
      overwrite(path, sector * SECTOR, bytes);
      counts.files.set(name, (counts.files.get(name) ?? 0) + 1);
      const { lastSeq, problems } = expectOpens(folder);
      expect(lastSeq, `${name}, sector ${sector}`).toBe(EVENTS);
      if (problems.length > 0) counts.said += 1;
      if (readdirSync(folder).some((each) => each.includes('.corrupt-'))) counts.setAside += 1;
    }
    console.log(
      `${SECTORS} sectors, seed ${SEED}: ${JSON.stringify([...counts.files])}; ` +
        `${counts.setAside} set aside, ${counts.said} said, no event lost`,
    );
  });
});

/** Every event is there; a text that the disk has changed unseen may be unreadable, and is counted. */
function expectOpens(folder: string): { lastSeq: number; problems: string[] } {
  const clock = manualClock(0);
  const store = openStore({ folder, clock, log: () => {}, ballastBytes: 0 });
  const lastSeq = store.lastSeq();
  // Kept twice, in two files: one sector can only take one of them.
  expect(store.loadWatch()).toEqual(watchAt(EVENTS));
  const alerts = store.alerts({ phase: 'all', limit: 1000 });
  expect(alerts.length).toBeGreaterThanOrEqual(Math.ceil(EVENTS / 4) - 2);
  const events = Array.from({ length: Math.ceil(EVENTS / 4) }, (_, index) =>
    store.alertEvents(eventWith(index * 4 + 1).alertId),
  ).flat();
  expect(events.length).toBeGreaterThanOrEqual(EVENTS - 4);
  const next = { alertEvents: [eventWith(lastSeq + 1)], panelEvents: [] };
  expect(store.commit({ ...next, savedWatch: watchAt(lastSeq + 1) })).toEqual({ isDurable: true });
  const { problems } = store.health();
  store.close();
  return { lastSeq, problems };
}

const FRAME = 4096 + 24;
const DAMAGES: [string, (wal: string, folder: string) => void][] = [
  ['cut short in the last frame', (wal) => truncateSync(wal, statSync(wal).size - 100)],
  ['cut short to half', (wal) => truncateSync(wal, Math.floor(statSync(wal).size / 2))],
  ['of no length', (wal) => truncateSync(wal, 0)],
  ['that is missing', (wal) => rmSync(wal)],
  ['with a bit turned in its header', (wal) => turnBit(wal, 5)],
  ['with a bit turned in its first frame', (wal) => turnBit(wal, 32 + 24 + 200)],
  ['with a bit turned in its middle', (wal) => turnBit(wal, Math.floor(statSync(wal).size / 2))],
  ['with a bit turned in its last frame', (wal) => turnBit(wal, statSync(wal).size - 700)],
  [
    'with its last frame zeroed',
    (wal) => overwrite(wal, statSync(wal).size - FRAME, Buffer.alloc(FRAME)),
  ],
  [
    'beside a database that is newer',
    (_wal, folder) => cpSync(join(closed, 'alerts.db'), join(folder, 'alerts.db')),
  ],
];

function turnBit(path: string, at: number): void {
  const bytes = readFileSync(path);
  bytes[at] = (bytes[at] ?? 0) ^ 0x10;
  writeFileSync(path, bytes);
}

describe('a write-ahead log of the alerts', () => {
  it.each(DAMAGES)('%s costs no event, and what came back is said', (_how, damage) => {
    const folder = copyOf(died);
    const wal = join(folder, 'alerts.db-wal');
    // The twenty commits that were not folded in yet.
    expect(statSync(wal).size).toBeGreaterThan(20 * FRAME);
    damage(wal, folder);
    const { lastSeq, problems } = expectKept(folder, EVENTS);
    expect(lastSeq).toBe(EVENTS);
    for (const problem of problems) {
      expect(problem).toMatch(/came back from its journal|was damaged|taken from its second copy/);
    }
  });
});
