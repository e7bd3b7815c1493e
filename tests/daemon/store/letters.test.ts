/** Letters in the record: with the events that they tell of, once each, through trouble with the disk. */
import Database from 'better-sqlite3';
import { renameSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { checkedRecord } from '../../../daemon/store/integrity.ts';
import type { LetterMark } from '../../../daemon/store/store.ts';
import type { Letter } from '../../../rules/telling/letter.ts';
import { eventWith, openedStore, START_MS } from './fixtures.ts';

const NOTHING = { alertEvents: [], panelEvents: [] };

function letterWith(key: string, change: Partial<Letter> = {}): Letter {
  return {
    key,
    kind: 'alert',
    contact: 'wren',
    way: 'mail',
    priority: 'warning',
    alertId: 'overload/main-a:L1#1',
    about: [],
    boat: 'Sandpiper',
    headline: 'Main A leg L1 carries more than its rating',
    text: 'The breaker may trip in minutes.',
    writtenAtMs: START_MS,
    dueAtMs: START_MS,
    expiresAtMs: START_MS + 86_400_000,
    ...change,
  };
}

function markOf(key: string, change: Partial<LetterMark> = {}): LetterMark {
  return {
    key,
    state: 'sent',
    atMs: START_MS + 5000,
    attempts: 1,
    nextTryAtMs: START_MS + 5000,
    problem: null,
    answer: '250 queued',
    ...change,
  };
}

const keysOf = (store: ReturnType<typeof openedStore>['store']): string[] =>
  store.waitingLetters().map(({ letter }) => letter.key);

function rowsIn(folder: string): unknown[] {
  const db = new Database(join(folder, 'alerts.db'), { readonly: true });
  const rows = db.prepare('SELECT key, state FROM letter ORDER BY number').raw().all();
  db.close();
  return rows;
}

describe('letters in the record', () => {
  it('come back with their events, what was tried, and what telling remembers', () => {
    const first = openedStore();
    const savedTelling = { version: 1, told: { 'overload/main-a:L1#1': 2 } };
    const letters = [letterWith('one'), letterWith('two', { dueAtMs: START_MS + 60_000 })];
    first.store.commit({ alertEvents: [eventWith(1)], panelEvents: [], letters, savedTelling });
    const later = markOf('one', {
      state: 'waiting',
      attempts: 3,
      nextTryAtMs: START_MS + 9000,
      problem: 'Nobody answers.',
      answer: null,
    });
    first.store.commit({ ...NOTHING, letterMarks: [later] });
    const waiting = first.store.waitingLetters();
    first.store.close();
    const { store } = openedStore(first.folder);
    expect(store.waitingLetters()).toEqual(waiting);
    expect(waiting).toMatchObject([
      { letter: letters[0], attempts: 3, nextTryAtMs: START_MS + 9000, problem: 'Nobody answers.' },
      { letter: letters[1], attempts: 0, nextTryAtMs: START_MS + 60_000, problem: null },
    ]);
    expect(store.loadTelling()).toEqual(savedTelling);
    expect(store.lastSeq()).toBe(1);
  });

  it('are not written with events that cannot be', () => {
    const { store, folder } = openedStore();
    const batch = { alertEvents: [eventWith(7)], panelEvents: [], letters: [letterWith('one')] };
    expect(() => store.commit(batch)).toThrow(/cannot follow/);
    expect(store.waitingLetters()).toEqual([]);
    expect(rowsIn(folder)).toEqual([]);
  });

  it('are not sent anew when they are written again, not after a restart either', () => {
    const first = openedStore();
    first.store.commit({ ...NOTHING, letters: [letterWith('one'), letterWith('one')] });
    first.store.commit({ ...NOTHING, letters: [letterWith('one')] });
    expect(keysOf(first.store)).toEqual(['one']);
    first.store.commit({ ...NOTHING, letterMarks: [markOf('one')] });
    first.store.commit({ ...NOTHING, letters: [letterWith('one')] });
    expect(keysOf(first.store)).toEqual([]);
    first.store.close();
    const { store, folder } = openedStore(first.folder);
    store.commit({ ...NOTHING, letters: [letterWith('one')] });
    expect(keysOf(store)).toEqual([]);
    expect(rowsIn(folder)).toEqual([['one', 'sent']]);
  });

  it('can be withdrawn until they have gone', () => {
    const { store, folder } = openedStore();
    store.commit({ ...NOTHING, letters: ['one', 'two', 'three'].map((key) => letterWith(key)) });
    store.commit({ ...NOTHING, letterMarks: [markOf('one')] });
    store.commit({ ...NOTHING, withdrawnLetters: ['one', 'two', 'nobody'] });
    expect(keysOf(store)).toEqual(['three']);
    expect(rowsIn(folder)).toEqual([
      ['one', 'sent'],
      ['two', 'withdrawn'],
      ['three', 'waiting'],
    ]);
    // It was on its way already when it was withdrawn.
    store.commit({ ...NOTHING, letterMarks: [markOf('two')] });
    expect(rowsIn(folder)[1]).toEqual(['two', 'sent']);
  });

  it('say of each way how it fared', () => {
    const { store } = openedStore();
    const letters = ['one', 'two', 'three'].map((key) => letterWith(key));
    store.commit({ ...NOTHING, letters: [...letters, letterWith('four', { way: 'hook' })] });
    const refused = {
      state: 'given up',
      problem: 'The address is unknown.',
      answer: '550',
    } as const;
    store.commit({
      ...NOTHING,
      letterMarks: [markOf('one'), markOf('two', { ...refused, atMs: START_MS + 9000 })],
    });
    expect(store.wayRecords()).toEqual([
      {
        way: 'hook',
        waiting: 1,
        givenUp: 0,
        lastSentAtMs: null,
        lastAnswer: null,
        lastTriedAtMs: null,
        lastProblem: null,
      },
      {
        way: 'mail',
        waiting: 1,
        givenUp: 1,
        lastSentAtMs: START_MS + 5000,
        lastAnswer: '250 queued',
        lastTriedAtMs: START_MS + 9000,
        lastProblem: 'The address is unknown.',
      },
    ]);
  });

  it('are bounded: the oldest of the least urgent go first, and are counted', () => {
    const { store, folder } = openedStore();
    const alarms = Array.from({ length: 5 }, (_, each) =>
      letterWith(`alarm ${each}`, { priority: 'alarm' }),
    );
    const warnings = Array.from({ length: 4997 }, (_, each) => letterWith(`warning ${each}`));
    store.commit({ ...NOTHING, letters: [...alarms, ...warnings] });
    expect(store.waitingLetters()).toHaveLength(5000);
    expect(store.lettersDropped()).toBe(2);
    expect(keysOf(store).slice(0, 6)).toEqual([...alarms.map(({ key }) => key), 'warning 2']);
    expect(rowsIn(folder)[5]).toEqual(['warning 0', 'given up']);
    store.commit({ ...NOTHING, letters: [letterWith('long', { text: 'x'.repeat(9_000_000) })] });
    expect(store.waitingLetters().length).toBeLessThan(5000);
    expect(keysOf(store)).toEqual(expect.arrayContaining(alarms.map(({ key }) => key)));
  });

  it('that are over long since are forgotten, those that wait never', () => {
    const { store, folder } = openedStore();
    store.commit({ ...NOTHING, letters: [letterWith('stays'), letterWith('goes')] });
    store.commit({ ...NOTHING, letterMarks: [markOf('goes')] });
    for (let round = 0; round < 11; round += 1) {
      const keys = Array.from({ length: 500 }, (_, each) => `${round} ${each}`);
      store.commit({ ...NOTHING, letters: keys.map((key) => letterWith(key)) });
      store.commit({ ...NOTHING, letterMarks: keys.map((key) => markOf(key)) });
    }
    expect(rowsIn(folder)).toHaveLength(5001);
    expect(rowsIn(folder)[0]).toEqual(['stays', 'waiting']);
  });

  it('hold the browsers that want to be told', () => {
    const first = openedStore();
    const keys = { p256dh: 'p', auth: 'a' };
    const row = (endpoint: string, contact: string) => ({
      endpoint,
      subscription: { endpoint, keys, contact, addedAtMs: START_MS },
    });
    first.store.commit({ ...NOTHING, pushChanges: [row('a', 'wren'), row('b', 'wren')] });
    first.store.commit({ ...NOTHING, pushChanges: [row('a', 'finch')] });
    first.store.commit({ ...NOTHING, pushChanges: [{ endpoint: 'b', subscription: null }] });
    first.store.close();
    expect(openedStore(first.folder).store.pushSubscriptions()).toEqual([
      { endpoint: 'a', keys, contact: 'finch', addedAtMs: START_MS },
    ]);
  });
});

describe('letters while the record is in trouble', () => {
  const many = 3000;

  /** A record that SQLite has to read again, and cannot. */
  function brokenWhileOpen(): ReturnType<typeof openedStore> {
    const opened = openedStore();
    const text = 'Lorem. '.repeat(300);
    const letters = Array.from({ length: many }, (_, each) => letterWith(`old ${each}`, { text }));
    opened.store.commit({ alertEvents: [eventWith(1)], panelEvents: [], letters });
    opened.clock.advanceTo(START_MS + 1000);
    const path = join(opened.folder, 'alerts.db');
    writeFileSync(path, Buffer.alloc(statSync(path).size, 0x5a), { flag: 'r+' });
    return opened;
  }

  it('that breaks while it is open are written into the new one', () => {
    const { store, folder } = brokenWhileOpen();
    store.commit({ ...NOTHING, letterMarks: [markOf('old 0')], letters: [letterWith('new')] });
    store.flush();
    expect(store.health().isWritable).toBe(true);
    expect(keysOf(store)).toHaveLength(many);
    store.close();
    const again = openedStore(folder).store;
    expect(keysOf(again)).toContain('new');
    expect(keysOf(again)).toContain(`old ${many - 1}`);
    expect(keysOf(again)).not.toContain('old 0');
  });

  it('that has gone can be sent all the same, and are written when it is back', () => {
    const { store, folder } = brokenWhileOpen();
    renameSync(folder, `${folder}-away`);
    const result = store.commit({ ...NOTHING, letters: [letterWith('new')] });
    expect(result.isDurable).toBe(false);
    expect(keysOf(store)).toContain('new');
    store.commit({ ...NOTHING, letterMarks: [markOf('old 1')] });
    expect(keysOf(store)).not.toContain('old 1');
    renameSync(`${folder}-away`, folder);
    store.flush();
    store.close();
    const again = openedStore(folder).store;
    expect(keysOf(again)).toContain('new');
    expect(keysOf(again)).not.toContain('old 1');
  });

  it('that the disk has changed are found by the long check and left out', () => {
    const { store, folder } = openedStore();
    store.commit({ ...NOTHING, letters: [letterWith('one'), letterWith('two')] });
    store.close();
    const db = new Database(join(folder, 'alerts.db'));
    db.exec("UPDATE letter SET letter_json = '{' WHERE key = 'one'");
    db.close();
    const said = checkedRecord(folder).flatMap(({ problems }) => problems);
    expect(said).toEqual(['1 letters cannot be read.']);
    const again = openedStore(folder).store;
    expect(keysOf(again)).toEqual(['two']);
    expect(again.health().problems.join()).toMatch(/1 rows could not be read/);
  });
});
