/** What the rules remember is on the disk twice: damage to one copy costs nothing and is said. */
import Database from 'better-sqlite3';
import { mkdirSync, readFileSync, rmSync, statSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it, onTestFailed } from 'vitest';
import { checkedRecord } from '../../../daemon/store/integrity.ts';
import { randomFrom } from '../../faults/disk/random.ts';
import { eventWith, openedStore, START_MS, temporaryFolder, watchAt } from './fixtures.ts';

const EVENTS = 12;
const FROM_COPY =
  'What the rules remember was damaged in alerts.db; it was taken from its second copy.';
const COPY_DAMAGED = 'The second copy of what the rules remember was damaged; it is made anew.';
const GONE =
  'What the rules remember was damaged and no whole copy of it is left: they learn it anew. The alerts themselves are kept.';

/** A closed store whose last event left `watchAt(EVENTS)`. */
function savedFolder(): string {
  const folder = temporaryFolder();
  const { store } = openedStore(folder);
  for (let seq = 1; seq <= EVENTS; seq += 1) {
    store.commit({ alertEvents: [eventWith(seq)], panelEvents: [], savedWatch: watchAt(seq) });
  }
  store.close();
  return folder;
}

const copyIn = (folder: string): string => join(folder, 'alerts.watch');

function sqlIn(folder: string, sql: string, ...values: unknown[]): void {
  const db = new Database(join(folder, 'alerts.db'));
  db.prepare(sql).run(...values);
  db.close();
}

/** What it finds when opened. Holds that every event is there, and that both copies are whole after a commit. */
function foundIn(folder: string): { watch: unknown; problems: string[] } {
  const { store } = openedStore(folder);
  const found = { watch: store.loadWatch(), problems: store.health().problems };
  expect(store.lastSeq()).toBe(EVENTS);
  const next = { alertEvents: [eventWith(EVENTS + 1)], panelEvents: [] };
  expect(store.commit({ ...next, savedWatch: watchAt(EVENTS + 1) })).toEqual({ isDurable: true });
  store.close();
  const again = openedStore(folder).store;
  expect(again.health().problems).toEqual([]);
  expect(again.loadWatch()).toEqual(watchAt(EVENTS + 1));
  again.close();
  expect(checkedRecord(folder).flatMap((checked) => checked.problems)).toEqual([]);
  return found;
}

describe('a saved watch that is damaged in alerts.db', () => {
  it.each([
    ['cut short', '{"version":1,'],
    ['of another kind', '{"version":"1","atMs":5}'],
    ['nothing', 'null'],
    ['readable but changed', JSON.stringify(watchAt(EVENTS + 7))],
  ])('comes from its second copy: %s', (_, text) => {
    const folder = savedFolder();
    sqlIn(folder, 'UPDATE saved_watch SET watch_json = ?', text);
    expect(checkedRecord(folder).flatMap(({ problems }) => problems)).toEqual([
      'The saved watch is not as it was written.',
    ]);
    expect(foundIn(folder)).toEqual({ watch: watchAt(EVENTS), problems: [FROM_COPY] });
  });

  it('comes from its second copy when an old number was made to look new', () => {
    const folder = savedFolder();
    sqlIn(folder, 'UPDATE saved_watch SET number = number + 100');
    expect(foundIn(folder)).toEqual({ watch: watchAt(EVENTS), problems: [FROM_COPY] });
  });

  it('comes from its second copy when the row is gone', () => {
    const folder = savedFolder();
    sqlIn(folder, 'DELETE FROM saved_watch');
    const sentence = FROM_COPY.replace('damaged in', 'missing from');
    expect(foundIn(folder)).toEqual({ watch: watchAt(EVENTS), problems: [sentence] });
  });

  it('comes from its second copy when all of alerts.db is garbage', () => {
    const folder = savedFolder();
    writeFileSync(join(folder, 'alerts.db'), 'This was a database once. '.repeat(900));
    const { store } = openedStore(folder);
    expect(store.loadWatch()).toEqual(watchAt(EVENTS));
    expect(store.lastSeq()).toBe(EVENTS);
    expect(store.health().problems.join()).toContain('it was taken from its second copy');
  });

  it('is begun anew, and said, when the second copy is damaged too', () => {
    const folder = savedFolder();
    sqlIn(folder, "UPDATE saved_watch SET watch_json = '[]'");
    truncateSync(copyIn(folder), 20);
    expect(foundIn(folder)).toEqual({ watch: null, problems: [GONE] });
  });
});

describe('a second copy that is damaged', () => {
  it.each<[string, (path: string) => void]>([
    ['of no length', (path) => truncateSync(path, 0)],
    ['cut in the middle', (path) => truncateSync(path, Math.floor(statSync(path).size / 2))],
    ['garbage', (path) => writeFileSync(path, 'watch 99 00000000\nThis was a copy once.')],
    ['a folder', (path) => (rmSync(path), mkdirSync(path))],
  ])('costs nothing and is said: %s', (how, damage) => {
    const folder = savedFolder();
    damage(copyIn(folder));
    if (how !== 'a folder') {
      expect(foundIn(folder)).toEqual({ watch: watchAt(EVENTS), problems: [COPY_DAMAGED] });
      return;
    }
    const { store } = openedStore(folder);
    expect(store.loadWatch()).toEqual(watchAt(EVENTS));
    const next = { alertEvents: [eventWith(EVENTS + 1)], panelEvents: [] };
    expect(store.commit({ ...next, savedWatch: watchAt(99) })).toEqual({ isDurable: true });
    expect(store.health().problems.at(-1)).toMatch(
      /What the rules remember is on the disk once instead of twice: /,
    );
  });

  it('is made quietly where an older version left none', () => {
    const folder = savedFolder();
    rmSync(copyIn(folder));
    sqlIn(folder, 'UPDATE saved_watch SET number = 0, crc = NULL');
    expect(foundIn(folder)).toEqual({ watch: watchAt(EVENTS), problems: [] });
  });

  it('is found out for any bit that turns', () => {
    const seed = Math.floor(Math.random() * 2 ** 31);
    onTestFailed(() => console.error(`seed ${seed}`));
    const random = randomFrom(seed);
    const folder = savedFolder();
    const whole = readFileSync(copyIn(folder));
    for (let turn = 0; turn < 20; turn += 1) {
      const bytes = Buffer.from(whole);
      const at = Math.floor(random() * bytes.length);
      bytes[at] = (bytes[at] ?? 0) ^ (1 << Math.floor(random() * 8));
      writeFileSync(copyIn(folder), bytes);
      const { store } = openedStore(folder);
      expect(store.loadWatch()).toEqual(watchAt(EVENTS));
      store.close();
    }
  });
});

describe('saves in which nothing happened', () => {
  it('go into the second copy every five minutes, to spare the memory card', () => {
    const folder = savedFolder();
    const { store, clock } = openedStore(folder);
    const written = new Set<string>();
    const quiet = { alertEvents: [], panelEvents: [] };
    const saves = 40;
    for (let save = 1; save <= saves; save += 1) {
      clock.advanceTo(START_MS + save * 30_000);
      store.commit({ ...quiet, savedWatch: watchAt(EVENTS + save) });
      written.add(readFileSync(copyIn(folder)).toString('latin1'));
    }
    // Twenty minutes: the first save after the start, and one each five minutes.
    expect(written.size).toBe(4);
    const said = {
      atMs: clock.nowMs(),
      type: 'source live',
      part: 'shore',
      text: 'It is.',
    } as const;
    store.commit({ alertEvents: [], panelEvents: [said], savedWatch: watchAt(200) });
    store.close();
    sqlIn(folder, 'DELETE FROM saved_watch');
    expect(openedStore(folder).store.loadWatch()).toEqual(watchAt(200));
  });
});
