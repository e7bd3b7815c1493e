/**
 * What the rules remembered is gone, cut short, of another version or older than the alerts: the
 * alerts of the record go on, once, and nobody is told that anything is over.
 */
import Database from 'better-sqlite3';
import { mkdtempSync, readFileSync, rmSync, truncateSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, onTestFinished, test } from 'vitest';
import { manualClock } from '../../daemon/clock.ts';
import type { ManualClock } from '../../daemon/clock.ts';
import { Station } from '../../daemon/station.ts';
import { openStore } from '../../daemon/store/store.ts';
import type { Store } from '../../daemon/store/store.ts';
import { createTelling, readBoat } from '../../rules/index.ts';
import type { Letter } from '../../rules/index.ts';

const START_MS = 1_700_000_000_000;
const text = readFileSync(new URL('../fixtures/boats/restless.yaml', import.meta.url), 'utf8');
const { boat } = readBoat(text, 'restless.yaml');
if (!boat) throw new Error('the restless test boat is not usable');

const CONTACTS = {
  wren: {
    name: 'Wren',
    told: 'first',
    ways: ['mail'],
    priority: 'caution',
    modes: ['aboard'],
  },
} as const;

interface Aboard {
  clock: ManualClock;
  store: Store;
  station: Station;
  /** Says it every second for so long. */
  say(amps: Record<string, number>, seconds: number): void;
  letters(): Letter[];
  stop(): void;
}

function start(folder: string, startMs: number): Aboard {
  if (!boat) throw new Error('no boat');
  const clock = manualClock(startMs);
  const store = openStore({ folder, clock, log: () => {} });
  const telling = createTelling(
    {
      boatName: 'Restless',
      settings: {
        timeZone: 'UTC',
        contacts: { wren: { ...CONTACTS.wren, ways: ['mail'], modes: ['aboard'] } },
      },
      open: () => station.openAlerts(),
    },
    store.loadTelling(),
  );
  const station: Station = new Station(boat, store, clock, telling);
  station.start();
  return {
    clock,
    store,
    station,
    say(amps, seconds) {
      for (let left = seconds; left > 0; left -= 1) {
        for (const [id, value] of Object.entries(amps)) {
          station.take({ pointId: `${id}-amps`, value, atMs: clock.nowMs() });
        }
        clock.advanceTo(clock.nowMs() + 1000);
      }
    },
    letters: () => store.waitingLetters().map(({ letter }) => letter),
    stop() {
      station.stop();
      store.close();
    },
  };
}

const DRY = { pump: 0, boiler: 8, kettle: 0, heater: 0 };
const ALL_OFF = { ...DRY, boiler: 0 };

function scratch(): string {
  const folder = mkdtempSync(join(tmpdir(), 'panelward-lost-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

function sql(folder: string, statement: string): void {
  const db = new Database(join(folder, 'alerts.db'));
  db.exec(statement);
  db.close();
}

const copyIn = (folder: string): string => join(folder, 'alerts.watch');

/** A folder with one alert that stands and was told; gives its id. */
function told(folder: string): string {
  const aboard = start(folder, START_MS);
  aboard.say(DRY, 25);
  const [alert] = aboard.station.openAlerts();
  expect(aboard.letters().map(({ headline }) => headline)).toEqual([
    expect.stringContaining(alert?.title ?? 'no alert'),
  ]);
  aboard.station.acknowledge(alert?.id ?? '', 'Wren');
  aboard.stop();
  return alert?.id ?? '';
}

const typesOf = ({ store }: Aboard, id: string): string[] =>
  store.alertEvents(id).map(({ type }) => type);

const LOSSES: [string, (folder: string) => void][] = [
  [
    'deleted',
    (folder) => {
      sql(folder, 'DELETE FROM saved_watch');
      rmSync(copyIn(folder));
    },
  ],
  [
    'cut short',
    (folder) => {
      sql(folder, 'UPDATE saved_watch SET watch_json = substr(watch_json, 1, 200)');
      truncateSync(copyIn(folder), 60);
    },
  ],
  [
    'of another version',
    (folder) => {
      sql(
        folder,
        `UPDATE saved_watch SET crc = NULL, watch_json = json_set(watch_json, '$.version', 1)`,
      );
      rmSync(copyIn(folder));
    },
  ],
  [
    'empty but for its version',
    (folder) => {
      sql(
        folder,
        `UPDATE saved_watch SET crc = NULL, watch_json = '{"version":2,"atMs":${START_MS}}'`,
      );
      rmSync(copyIn(folder));
    },
  ],
];

describe('a saved watch that is', () => {
  test.each(LOSSES)('%s: what stands goes on as the same alert, told to nobody anew', (_, lose) => {
    const folder = scratch();
    const id = told(folder);
    lose(folder);
    const second = start(folder, START_MS + 200_000);
    second.say(DRY, 40);
    expect(second.station.openAlerts()).toMatchObject([{ id, isHeld: false }]);
    expect(typesOf(second, id)).toEqual(['raised', 'acknowledged', 'taken up', 'resumed']);
    expect(second.letters()).toHaveLength(1);
    second.stop();
    // Once: the next start finds it where it is.
    const third = start(folder, START_MS + 400_000);
    third.say(DRY, 20);
    expect(typesOf(third, id)).toEqual(['raised', 'acknowledged', 'taken up', 'resumed']);
    third.stop();
  });

  test('deleted: what is not seen to hold ends with a word of why, and no letter says that it is over', () => {
    const folder = scratch();
    const id = told(folder);
    LOSSES[0]?.[1](folder);
    const second = start(folder, START_MS + 200_000);
    second.say({}, 10);
    expect(second.station.openAlerts()).toMatchObject([{ id, isHeld: true }]);
    second.say(ALL_OFF, 40);
    expect(second.station.openAlerts()).toEqual([]);
    expect(second.store.alerts({ phase: 'open', limit: 10 })).toEqual([]);
    expect(typesOf(second, id)).toEqual(['raised', 'acknowledged', 'taken up', 'closed']);
    expect(second.store.alert(id)?.ended).toEqual({ why: 'lost in a restart' });
    const [, ended, ...more] = second.letters();
    expect(more).toEqual([]);
    expect(ended?.headline).toMatch(/panelward restarted and has lost track of it/);
    expect(ended?.text).toMatch(/Whether it still holds is not known/);
    expect(`${ended?.headline} ${ended?.text}`).not.toMatch(/\bover\b/);
    second.stop();
  });
});

test('a cut before it was written does it anew and leaves one event', () => {
  const folder = scratch();
  const id = told(folder);
  sql(folder, 'DELETE FROM saved_watch');
  rmSync(copyIn(folder));
  const second = start(folder, START_MS + 200_000);
  // It is on the disk before the first evaluation.
  expect(typesOf(second, id)).toEqual(['raised', 'acknowledged', 'taken up']);
  second.store.close();
  const third = start(folder, START_MS + 300_000);
  third.say(DRY, 5);
  expect(typesOf(third, id)).toEqual(['raised', 'acknowledged', 'taken up', 'resumed']);
  third.stop();
});

test('a saved watch from before the alert was acknowledged: the record is right', () => {
  const folder = scratch();
  const first = start(folder, START_MS);
  first.say(DRY, 10);
  first.store.flush();
  const [alert] = first.station.openAlerts();
  const id = alert?.id ?? '';
  const row = (() => {
    const db = new Database(join(folder, 'alerts.db'), { readonly: true });
    const saved = db.prepare<[], string>('SELECT watch_json FROM saved_watch').pluck().get();
    db.close();
    return saved ?? '';
  })();
  first.station.acknowledge(id, 'Wren');
  first.stop();

  sql(folder, `UPDATE saved_watch SET crc = NULL, watch_json = '${row.replaceAll("'", "''")}'`);
  rmSync(copyIn(folder));
  const second = start(folder, START_MS + 100_000);
  expect(second.station.openAlerts()).toMatchObject([{ id, acknowledgedBy: 'Wren' }]);
  second.say(DRY, 5);
  expect(typesOf(second, id)).toEqual(['raised', 'acknowledged', 'taken up', 'resumed']);
  second.stop();
});
