import { mkdirSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { openStore, StoreProblem } from '../../../daemon/store/store.ts';
import type { PanelEvent } from '../../../rules/watch.ts';
import {
  alertWith,
  eventWith,
  openedStore,
  START_MS,
  temporaryFolder,
  watchAt,
} from './fixtures.ts';

const panelEvent = (atMs: number, text: string): PanelEvent => ({
  atMs,
  type: 'source live',
  part: 'shore-bow',
  text,
});

describe('the record of alerts', () => {
  it('gives back after a restart what was committed, to the millisecond fraction', () => {
    const first = openedStore();
    const changed: PanelEvent = {
      ...panelEvent(START_MS + 0.5, 'Shore power came on at the bow.'),
      type: 'source changed',
      feed: { by: 'bow-inlet', before: 'small-generator' },
    };
    const raised = eventWith(1, { atMs: START_MS + 0.125 });
    const acknowledged = eventWith(2, {
      type: 'acknowledged',
      actor: 'Skipper',
      alert: { ...raised.alert, phase: 'acknowledged', acknowledgedBy: 'Skipper' },
    });
    expect(
      first.store.commit({
        alertEvents: [raised, acknowledged],
        panelEvents: [changed],
        savedWatch: watchAt(2),
      }),
    ).toEqual({ isDurable: true });
    first.store.close();

    const { store } = openedStore(first.folder);
    expect(store.lastSeq()).toBe(2);
    expect(store.loadWatch()).toEqual(watchAt(2));
    expect(store.alert(raised.alertId)).toEqual(acknowledged.alert);
    expect(store.alertEvents(raised.alertId)).toEqual([raised, acknowledged]);
    expect(store.alerts({ phase: 'all', limit: 10 })).toEqual([acknowledged.alert]);
    expect(store.panelEvents({ limit: 10 })).toEqual([changed]);
  });

  it('knows nothing at first', () => {
    const { store, folder } = openedStore();
    expect(store.lastSeq()).toBe(0);
    expect(store.loadWatch()).toBeNull();
    expect(store.alert('overload/main-a:L1#1')).toBeNull();
    expect(store.alertEvents('overload/main-a:L1#1')).toEqual([]);
    expect(store.health()).toMatchObject({
      isWritable: true,
      alertsFile: join(folder, 'alerts.db'),
      historyFile: join(folder, 'history.db'),
      readingsStored: 0,
      readingsBuffered: 0,
      lastFlushAtMs: null,
      lastError: null,
      problems: [],
    });
  });

  it.each([[[2]], [[1, 3]], [[1, 1]], [[0]]])(
    'refuses the numbers %j in a new record and writes none of them',
    (seqs) => {
      const { store } = openedStore();
      const alertEvents = seqs.map((seq) => eventWith(seq));
      expect(() => store.commit({ alertEvents, panelEvents: [], savedWatch: watchAt(9) })).toThrow(
        /has no gaps/,
      );
      expect(store.lastSeq()).toBe(0);
      expect(store.alerts({ phase: 'all', limit: 10 })).toEqual([]);
      expect(store.loadWatch()).toBeNull();
      expect(store.commit({ alertEvents: [eventWith(1)], panelEvents: [] }).isDurable).toBe(true);
    },
  );

  it('keeps a watch of another version, which the watch itself must judge', () => {
    const first = openedStore();
    const savedWatch = { version: 99, atMs: START_MS, anything: ['of', 'its', 'own'] };
    first.store.commit({ alertEvents: [eventWith(1)], panelEvents: [], savedWatch });
    first.store.close();
    const { store } = openedStore(first.folder);
    expect(store.health().problems).toEqual([]);
    expect(store.loadWatch()).toEqual(savedWatch);
    expect(store.lastSeq()).toBe(1);
  });

  it('parts open alerts from past ones', () => {
    const { store } = openedStore();
    const events = (['unacknowledged', 'acknowledged', 'returned', 'closed'] as const).map(
      (phase, index) =>
        eventWith(index + 1, {
          alert: alertWith({ id: phase, phase, raisedAtMs: START_MS + index }),
        }),
    );
    store.commit({ alertEvents: events, panelEvents: [] });
    const ids = (phase: 'open' | 'past' | 'all'): string[] =>
      store.alerts({ phase, limit: 10 }).map(({ id }) => id);
    expect(ids('open')).toEqual(['returned', 'acknowledged', 'unacknowledged']);
    expect(ids('past')).toEqual(['closed']);
    expect(ids('all')).toEqual(['closed', 'returned', 'acknowledged', 'unacknowledged']);
  });

  it('pages through alerts by the instant of raising without losing those raised together', () => {
    const { store } = openedStore();
    const instants = [0, 5, 5, 5, 5.5, 7, 7, 9];
    store.commit({
      alertEvents: instants.map((instant, index) =>
        eventWith(index + 1, {
          alert: alertWith({ id: `alert-${index}`, raisedAtMs: START_MS + instant }),
        }),
      ),
      panelEvents: instants.map((instant, index) => panelEvent(START_MS + instant, `${index}`)),
    });
    const seen: string[] = [];
    let before = Infinity;
    for (let page = store.alerts({ phase: 'open', limit: 2 }); page.length > 0;) {
      seen.push(...page.map(({ id }) => id));
      before = page.at(-1)?.raisedAtMs ?? 0;
      page = store.alerts({ phase: 'open', limit: 2, before });
    }
    expect(seen).toEqual([7, 6, 5, 4, 3, 2, 1, 0].map((index) => `alert-${index}`));
    expect(store.panelEvents({ limit: 2 }).map(({ text }) => text)).toEqual(['7', '6', '5']);
    expect(
      store
        .panelEvents({ from: START_MS + 5, to: START_MS + 7, limit: 100 })
        .map(({ text }) => text),
    ).toEqual(['4', '3', '2', '1']);
  });

  it('gives the newest thousand events of an alert that flaps', () => {
    const { store } = openedStore();
    const alert = alertWith({ id: 'flapping' });
    const alertEvents = Array.from({ length: 1200 }, (_, index) => eventWith(index + 1, { alert }));
    store.commit({ alertEvents, panelEvents: [] });
    const events = store.alertEvents('flapping');
    expect(events.length).toBe(1000);
    expect([events[0]?.seq, events.at(-1)?.seq]).toEqual([201, 1200]);
  });

  it('folds its log into the file a second after a commit', () => {
    const { store, clock, folder } = openedStore();
    store.commit({ alertEvents: [eventWith(1)], panelEvents: [] });
    const log = join(folder, 'alerts.db-wal');
    expect(statSync(log).size).toBeGreaterThan(0);
    clock.advanceTo(START_MS + 1000);
    expect(statSync(log).size).toBe(0);
    expect(store.lastSeq()).toBe(1);
  });
});

describe('the store as a whole', () => {
  it('writes readings ten seconds after they came, or once twenty thousand wait', () => {
    const { store, clock } = openedStore();
    store.addReading({ pointId: 'a', value: 12.6, atMs: START_MS });
    expect(store.health()).toMatchObject({ readingsStored: 0, readingsBuffered: 1 });
    clock.advanceTo(START_MS + 10_000);
    expect(store.health()).toMatchObject({
      readingsStored: 1,
      readingsBuffered: 0,
      lastFlushAtMs: START_MS + 10_000,
    });
    for (let index = 0; index < 20_000; index += 1) {
      store.addReading({ pointId: 'a', value: index, atMs: START_MS + 10_000 + index });
    }
    expect(store.health()).toMatchObject({ readingsStored: 20_001, readingsBuffered: 0 });
  });

  it('keeps readings and words over a restart, and no restored ones', async () => {
    const first = openedStore();
    first.store.addReading({ pointId: 'volts', value: 119.5, atMs: START_MS + 0.9 });
    first.store.addReading({ pointId: 'selector', value: 'SHORE BOW', atMs: START_MS });
    first.store.addReading({ pointId: 'volts', value: 7, atMs: START_MS + 5, isRestored: true });
    first.store.close();
    const { store } = openedStore(first.folder);
    const query = { points: ['volts', 'selector'], fromMs: START_MS - 1000, toMs: START_MS + 1000 };
    const rows = [];
    for await (const batch of store.reader.readings(query)) rows.push(...batch);
    expect(rows).toEqual([
      { pointId: 'volts', atMs: START_MS, value: 119.5 },
      { pointId: 'selector', atMs: START_MS, value: 'SHORE BOW' },
    ]);
  });

  it('never throws over a reading that no chart can use, and counts it', () => {
    const { store } = openedStore();
    for (const value of [Number.NaN, Infinity, -Infinity]) {
      store.addReading({ pointId: 'a', value, atMs: START_MS });
    }
    store.addReading({ pointId: 'a', value: 1, atMs: Number.NaN });
    expect(store.health()).toMatchObject({ readingsBuffered: 0, readingsLost: 4 });
  });

  it('refuses a folder that another store has open, and says so', () => {
    const { folder, clock, store } = openedStore();
    expect(() => openStore({ folder, clock, log: () => {} })).toThrow(/in use by another process/);
    expect(store.commit({ alertEvents: [eventWith(1)], panelEvents: [] }).isDurable).toBe(true);
  });

  it('refuses a folder that cannot be made, and says so', () => {
    const folder = temporaryFolder();
    writeFileSync(join(folder, 'a-file'), '');
    const open = (): unknown => openedStore(join(folder, 'a-file', 'x'));
    expect(open).toThrow(StoreProblem);
    expect(open).toThrow(/cannot be made/);
  });

  it('refuses where alerts.db is no file, and says so', () => {
    const folder = temporaryFolder();
    mkdirSync(join(folder, 'alerts.db'));
    expect(() => openedStore(folder)).toThrow(
      /alerts\.db cannot be opened: .*SQLITE_.* must be on a writable disk/,
    );
  });

  it('alerts on, and keeps the readings, while history.db cannot be opened', () => {
    const folder = temporaryFolder();
    mkdirSync(join(folder, 'history.db'));
    const { store, clock, lines } = openedStore(folder);
    store.addReading({ pointId: 'a', value: 1, atMs: START_MS });
    clock.advanceTo(START_MS + 30_000);
    expect(store.commit({ alertEvents: [eventWith(1)], panelEvents: [] }).isDurable).toBe(true);
    // The journal has it: it is on the disk, and becomes a chunk when history.db is back.
    expect(store.health()).toMatchObject({ isWritable: false, readingsStored: 1 });
    expect(store.health().problems.join()).toMatch(/The disk refuses: history\.db/);
    expect(lines.length).toBe(1);
  });
});
