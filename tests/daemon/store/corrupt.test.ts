/** Broken files: the store always opens, sets the broken one aside and says so. */
import Database from 'better-sqlite3';
import {
  closeSync,
  cpSync,
  existsSync,
  mkdtempSync,
  openSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  truncateSync,
  writeFileSync,
  writeSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it, onTestFailed } from 'vitest';
import type { AlertEvent } from '../../../rules/alerts/alert.ts';
import {
  alertWith,
  eventWith,
  openedStore,
  START_MS,
  temporaryFolder,
  watchAt,
} from './fixtures.ts';

const EVENTS = 120;
const READINGS = 3000;

const template = mkdtempSync(join(tmpdir(), 'panelward-template-'));
afterAll(() => rmSync(template, { recursive: true, force: true }));

/** A closed store with a few hundred rows in each file. */
function filledFolder(): string {
  if (!existsSync(join(template, 'alerts.db'))) fill(template);
  const folder = temporaryFolder();
  cpSync(template, folder, { recursive: true });
  return folder;
}

function fill(folder: string): void {
  const { store } = openedStore(folder);
  for (let seq = 1; seq <= EVENTS; seq += 1) {
    store.commit({ alertEvents: [eventWith(seq)], panelEvents: [], savedWatch: watchAt(seq) });
  }
  for (let index = 0; index < READINGS; index += 1) {
    store.addReading({ pointId: `point-${index % 7}`, value: index, atMs: START_MS + index });
  }
  store.close();
}

/** Opens what is left and proves that it takes alerts and readings. */
function expectUsable(folder: string): ReturnType<typeof openedStore> {
  const opened = openedStore(folder);
  const { store } = opened;
  const next = store.lastSeq() + 1;
  store.loadWatch();
  expect(
    store.commit({
      alertEvents: [eventWith(next)],
      panelEvents: [],
      savedWatch: watchAt(next),
    }).isDurable,
  ).toBe(true);
  store.addReading({ pointId: 'point-1', value: 1, atMs: START_MS + 1e6 });
  store.flush();
  expect(store.health()).toMatchObject({ isWritable: true, readingsBuffered: 0 });
  return opened;
}

const breakages: [string, (path: string) => void][] = [
  ['of no length', (path) => truncateSync(path, 0)],
  ['of garbage', (path) => writeFileSync(path, 'This was a database once. '.repeat(900))],
  ['with a garbage header', (path) => overwrite(path, 0, Buffer.alloc(100, 0xa5))],
  ['cut off in the middle', (path) => truncateSync(path, Math.floor(statSync(path).size / 2))],
];

function overwrite(path: string, at: number, bytes: Buffer): void {
  const file = openSync(path, 'r+');
  writeSync(file, bytes, 0, bytes.length, at);
  closeSync(file);
}

describe.each(['alerts.db', 'history.db'])('a broken %s', (name) => {
  it.each(breakages)('%s is set aside whole, and a new one begun', (_how, breakFile) => {
    const folder = filledFolder();
    breakFile(join(folder, name));
    const broken = readFileSync(join(folder, name));
    const { store, lines } = expectUsable(folder);
    expect(readFileSync(join(folder, `${name}.corrupt-1`))).toEqual(broken);
    const said = store.health().problems.join('\n');
    expect(said).toMatch(new RegExp(`${name} was not usable .* kept as ${name}.corrupt-1`));
    expect(lines.join('\n')).toContain(`${name}.corrupt-1`);
    store.close();
    expect(openedStore(folder).store.health().problems).toEqual([]);
  });

  it('is kept five times at most', () => {
    const folder = temporaryFolder();
    for (let round = 0; round < 8; round += 1) {
      writeFileSync(join(folder, name), `garbage of round ${round}, long enough `.repeat(200));
      openedStore(folder).store.close();
    }
    const kept = readdirSync(folder).filter((each) => each.startsWith(`${name}.corrupt-`));
    expect(kept.sort()).toEqual([4, 5, 6, 7, 8].map((n) => `${name}.corrupt-${n}`));
  });
});

describe('random damage', () => {
  it('of one sector in either file never keeps the store from opening and working', async () => {
    const seed = Math.floor(Math.random() * 2 ** 31);
    onTestFailed(() => console.error(`seed ${seed}`));
    const random = randomFrom(seed);
    let setAside = 0;
    for (let round = 0; round < 60; round += 1) {
      const folder = filledFolder();
      const name = round % 2 === 0 ? 'alerts.db' : 'history.db';
      const path = join(folder, name);
      const sector = Math.floor((random() * statSync(path).size) / 512);
      const bytes = Buffer.from(Array.from({ length: 512 }, () => Math.floor(random() * 256)));
      overwrite(path, sector * 512, bytes);
      const { store } = expectUsable(folder);
      const problems = store.health().problems;
      if (problems.length > 0) setAside += 1;
      // Every event still counts without a gap, and where the damage was seen, all can be read.
      expect(store.lastSeq()).toBe(EVENTS + 1);
      const isSalvaged = problems.some((problem) => problem.includes('alerts.db was not usable'));
      const readable = store.alerts({ phase: 'all', limit: 1000 });
      expect(readable.length).toBeGreaterThan(isSalvaged ? EVENTS : 0);
      const { series } = await store.history({
        points: ['point-1'],
        fromMs: START_MS,
        toMs: START_MS + 2e6,
        buckets: 9,
      });
      expect(series[0]?.buckets.length).toBeGreaterThan(0);
      store.close();
    }
    // SQLite's check sees damaged structure, not damaged content; about a third of them here.
    expect(setAside).toBeGreaterThan(5);
  });
});

describe('a lock file that is broken', () => {
  it('locks nobody out, and is a lock again', () => {
    const folder = filledFolder();
    writeFileSync(join(folder, 'in-use.lock'), 'This was no database, ever. '.repeat(300));
    const { store } = expectUsable(folder);
    expect(store.health().problems).toEqual([]);
    expect(() => openedStore(folder)).toThrow(/in use by another process/);
  });
});

describe('a row that the disk has changed', () => {
  it('hides no other row, and is counted', () => {
    const folder = filledFolder();
    const db = new Database(join(folder, 'alerts.db'));
    db.exec("UPDATE alert SET alert_json = '{\"id\":' WHERE id = 'overload/main-a:L1#7'");
    db.close();
    const { store } = openedStore(folder);
    expect(store.health().problems).toEqual([]);
    expect(store.alerts({ phase: 'all', limit: 1000 })).toHaveLength(EVENTS - 1);
    expect(store.alert('overload/main-a:L1#7')).toBeNull();
    expect(store.health().problems).toEqual([
      'The disk has changed what alerts.db says: 2 rows could not be read.',
    ]);
  });
});

const WATCH_FROM_COPY =
  'What the rules remember was missing from alerts.db; it was taken from its second copy.';

describe('events that vanish from alerts.db', () => {
  function withFiveMore(): { folder: string; before: Buffer } {
    const folder = filledFolder();
    const before = readFileSync(join(folder, 'alerts.db'));
    const { store } = openedStore(folder);
    for (let seq = EVENTS + 1; seq <= EVENTS + 5; seq += 1) {
      store.commit({ alertEvents: [eventWith(seq)], panelEvents: [], savedWatch: watchAt(seq) });
    }
    store.addReading({ pointId: 'point-1', value: 1, atMs: START_MS + 1e6 });
    store.close();
    return { folder, before };
  }

  it('come back from the journal', () => {
    const { folder, before } = withFiveMore();
    writeFileSync(join(folder, 'alerts.db'), before);
    const { store } = openedStore(folder);
    expect(store.health().problems).toEqual([
      '5 alert events were missing from alerts.db; they came back from its journal.',
      WATCH_FROM_COPY,
    ]);
    expect(store.loadWatch()).toEqual(watchAt(EVENTS + 5));
    expect(store.lastSeq()).toBe(EVENTS + 5);
    expect(store.alert(eventWith(EVENTS + 5).alertId)).toEqual(eventWith(EVENTS + 5).alert);
  });

  it('and from the journal too are missed, because the history is a witness', () => {
    const { folder, before } = withFiveMore();
    writeFileSync(join(folder, 'alerts.db'), before);
    const lines = readFileSync(join(folder, 'alerts.journal'), 'utf8').split('\n');
    writeFileSync(join(folder, 'alerts.journal'), lines.slice(0, EVENTS - 3).join('\n'));
    const { store } = openedStore(folder);
    expect(store.health().problems).toEqual([
      WATCH_FROM_COPY,
      '5 alert events that were on the disk once are missing from alerts.db.',
    ]);
    expect(store.lastSeq()).toBe(EVENTS);
    store.close();
    // Half a line and three events were cut off it; it is whole again.
    const again = readFileSync(join(folder, 'alerts.journal'), 'utf8').split('\n');
    expect(again.filter((line) => line.includes(`"seq":${EVENTS},`))).toHaveLength(1);
  });

  it('in the middle of it are marked as lost when they are nowhere', () => {
    const folder = filledFolder();
    const db = new Database(join(folder, 'alerts.db'));
    db.exec('DELETE FROM alert_event WHERE seq IN (7, 8, 9, 40)');
    db.close();
    overwrite(join(folder, 'alerts.db'), 0, Buffer.alloc(100, 0xa5));
    rmSync(join(folder, 'alerts.journal'));
    const { store } = openedStore(folder);
    expect(store.health().problems).toContain('4 alert events are gone from the disk.');
    store.close();
    const mended = new Database(join(folder, 'alerts.db'), { readonly: true });
    const lost = mended.prepare('SELECT first_seq, last_seq FROM lost_alert_events').raw().all();
    expect(lost).toEqual([
      [7, 9],
      [40, 40],
    ]);
    mended.close();
  });
});

describe('a record that breaks while it is open', () => {
  const many = 6000;

  function brokenWhileOpen(): ReturnType<typeof openedStore> {
    const opened = openedStore();
    // More than the 2 MB that SQLite keeps in memory, or it would not look at the file again.
    const alertEvents = Array.from({ length: many }, (_, index) => eventWith(index + 1));
    opened.store.commit({ alertEvents, panelEvents: [], savedWatch: watchAt(many) });
    opened.clock.advanceTo(START_MS + 1000);
    const path = join(opened.folder, 'alerts.db');
    overwrite(path, 0, Buffer.alloc(statSync(path).size, 0x5a));
    return opened;
  }

  /** Events of alerts all over the index. */
  const touchingOldPages = (first: number, count: number): AlertEvent[] =>
    Array.from({ length: count }, (_, index) =>
      eventWith(first + index, {
        alert: alertWith({ id: `overload/main-a:L1#${(index * 29) % many}` }),
      }),
    );

  it('and cannot be begun anew either holds ten thousand events, and marks what it lost', () => {
    const { store, folder } = brokenWhileOpen();
    renameSync(folder, `${folder}-away`);
    for (let first = many + 1; first <= many + 10_500; first += 500) {
      const result = store.commit({
        alertEvents: touchingOldPages(first, 500),
        panelEvents: [],
        savedWatch: watchAt(first + 499),
      });
      expect(result).toMatchObject({
        isDurable: false,
        problem: expect.stringMatching(/cannot be written: .* is gone/),
      });
    }
    renameSync(`${folder}-away`, folder);
    expect(store.health().isWritable).toBe(false);
    store.flush();
    expect(store.health()).toMatchObject({ isWritable: true, lastError: null });
    const last = many + 10_500;
    expect(store.lastSeq()).toBe(last);
    expect(store.loadWatch()).toEqual(watchAt(last));
    store.close();
    const db = new Database(join(folder, 'alerts.db'), { readonly: true });
    const kept = db.prepare('SELECT min(seq), max(seq), count(*) FROM alert_event').raw().get();
    // Those before it broke came back from the journal.
    expect(kept).toEqual([1, last, many + 10_000]);
    const lost = db.prepare('SELECT first_seq, last_seq FROM lost_alert_events').raw().all();
    expect(lost).toEqual([[many + 1, last - 10_000]]);
    db.close();
    const again = openedStore(folder).store;
    expect(again.lastSeq()).toBe(last);
    const next = { alertEvents: [eventWith(last + 1)], panelEvents: [] };
    expect(again.commit(next)).toEqual({ isDurable: true });
  });

  it('is set aside, and the next events go on in a new one', () => {
    const { store, folder } = brokenWhileOpen();
    const next = touchingOldPages(many + 1, 200);
    const result = store.commit({
      alertEvents: next,
      panelEvents: [],
      savedWatch: watchAt(many + 200),
    });
    expect(result).toEqual({ isDurable: true });
    const said = store.health().problems.join('\n');
    expect(said).toMatch(/damaged: alerts\.db was not usable/);
    expect(said).toMatch(/6000 alert events were missing from alerts\.db; they came back/);
    expect(said).not.toMatch(/Alert events are missing from the record/);
    expect(store.alertEvents(eventWith(1).alertId)[0]).toEqual(eventWith(1));
    store.close();
    const again = openedStore(folder).store;
    expect(again.lastSeq()).toBe(many + 200);
    expect(again.loadWatch()).toEqual(watchAt(many + 200));
  });

  it('is set aside too when it is the history, and no waiting reading is lost', async () => {
    const folder = filledFolder();
    const { store } = openedStore(folder);
    const path = join(folder, 'history.db');
    overwrite(path, 0, Buffer.alloc(statSync(path).size, 0x5a));
    store.addReading({ pointId: 'point-1', value: 5, atMs: START_MS + 1e6 });
    const query = { points: ['point-1'], fromMs: START_MS, toMs: START_MS + 2e6, buckets: 1 };
    await expect(store.history(query)).rejects.toThrow(/not a database/);
    store.flush();
    expect(store.health()).toMatchObject({ readingsStored: 1, isWritable: true });
    expect(store.health().problems.join('\n')).toMatch(/lost: history\.db was not usable/);
    const { series } = await store.history(query);
    // Those that were in no chunk yet are in the journal still.
    const ofPoint1 = Math.ceil((READINGS - 1) / 7);
    expect(series[0]?.buckets.map(([, , , , count]) => count)).toEqual([ofPoint1 + 1]);
  });
});

describe('a folder that is taken away', () => {
  it('stops no alert, and one that is put back takes what waited', async () => {
    const { store, folder } = openedStore(filledFolder());
    const path = join(folder, 'history.db');
    overwrite(path, 0, Buffer.alloc(statSync(path).size, 0x5a));
    const query = { points: ['point-1'], fromMs: START_MS, toMs: START_MS + 2e6, buckets: 1 };
    await expect(store.history(query)).rejects.toThrow(/not a database/);
    renameSync(folder, `${folder}-away`);
    store.addReading({ pointId: 'point-1', value: 5, atMs: START_MS + 1e6 });
    store.flush();
    expect(store.health().lastError).toMatch(/history\.db: The folder .* is gone/);
    const commit = { alertEvents: [eventWith(EVENTS + 1)], panelEvents: [] };
    expect(store.commit(commit)).toEqual({ isDurable: true });
    renameSync(`${folder}-away`, folder);
    store.flush();
    expect(store.health()).toMatchObject({ isWritable: true, readingsStored: 1 });
  });
});

/** Mulberry32: small, seeded, good enough to choose sectors. */
function randomFrom(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}
