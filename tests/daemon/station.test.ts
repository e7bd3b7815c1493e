/** The watch at work over a real store: what is told is on the disk, and a restart goes on from it. */
import { mkdtempSync, rmSync } from 'node:fs';
import { readFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, onTestFinished, test } from 'vitest';
import { manualClock } from '../../daemon/clock.ts';
import type { ManualClock } from '../../daemon/clock.ts';
import { Station } from '../../daemon/station.ts';
import { openStore } from '../../daemon/store/store.ts';
import type { Store } from '../../daemon/store/store.ts';
import { readBoat } from '../../rules/index.ts';

const START_MS = 1_700_000_000_000;
const text = readFileSync(new URL('../fixtures/boats/restless.yaml', import.meta.url), 'utf8');
const { boat } = readBoat(text, 'restless.yaml');
if (!boat) throw new Error('the restless test boat is not usable');

function scratch(): string {
  const folder = mkdtempSync(join(tmpdir(), 'panelward-station-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

interface Aboard {
  clock: ManualClock;
  store: Store;
  station: Station;
  say(amps: Record<string, number>): void;
}

function start(folder: string, startMs = START_MS): Aboard {
  if (!boat) throw new Error('no boat');
  const clock = manualClock(startMs);
  const store = openStore({ folder, clock, log: () => {} });
  const station = new Station(boat, store, clock);
  station.start();
  const say = (amps: Record<string, number>): void => {
    for (const [id, value] of Object.entries(amps)) {
      station.take({ pointId: `${id}-amps`, value, atMs: clock.nowMs() });
    }
  };
  return { clock, store, station, say };
}

const ALL_OFF = { pump: 0, boiler: 0, kettle: 0, heater: 0 };

describe('the station', () => {
  test('has no panel until its first evaluation, then one a second', () => {
    const { clock, store, station } = start(scratch());
    expect(station.panel).toBeNull();
    clock.advanceTo(START_MS + 3000);
    expect(station.panel?.atMs).toBe(START_MS + 3000);
    expect(station.evaluation.count).toBe(3);
    station.stop();
    store.close();
  });

  test('an event is on the disk before anyone hears of it', () => {
    const { clock, store, station, say } = start(scratch());
    const onDisk: (string | undefined)[] = [];
    station.onUpdate(({ alertEvents }) => {
      for (const event of alertEvents) onDisk.push(store.alert(event.alertId)?.phase);
    });
    say({ ...ALL_OFF, boiler: 8 });
    clock.advanceTo(START_MS + 1000);
    expect(onDisk).toEqual(['unacknowledged']);
    station.stop();
    store.close();
  });

  test('an alert and its acknowledgement survive a restart; the condition ends it there', () => {
    const folder = scratch();
    const first = start(folder);
    first.say({ ...ALL_OFF, boiler: 8 });
    first.clock.advanceTo(START_MS + 1000);
    const [alert] = first.station.openAlerts();
    expect(first.station.acknowledge(alert?.id ?? '', 'Wren')).toMatchObject({
      alert: { phase: 'acknowledged', acknowledgedBy: 'Wren' },
    });
    first.station.stop();
    first.store.close();

    const second = start(folder, START_MS + 60_000);
    expect(second.station.openAlerts()).toMatchObject([{ id: alert?.id, acknowledgedBy: 'Wren' }]);
    second.clock.advanceTo(START_MS + 61_000);
    // Nothing heard yet: held, neither raised anew nor cleared.
    expect(second.station.openAlerts()).toMatchObject([{ id: alert?.id, isHeld: true }]);
    second.say(ALL_OFF);
    second.clock.advanceTo(START_MS + 62_000);
    expect(second.station.openAlerts()).toEqual([]);
    expect(second.store.alertEvents(alert?.id ?? '').map((event) => event.type)).toEqual([
      'raised',
      'acknowledged',
      'held',
      'returned',
    ]);
    second.station.stop();
    second.store.close();
  });

  test('what a person does is on the disk with who and when, and outlives a restart', () => {
    const folder = scratch();
    const first = start(folder);
    first.say({ ...ALL_OFF, boiler: 8 });
    first.clock.advanceTo(START_MS + 1000);
    const id = first.station.openAlerts()[0]?.id ?? '';
    const untilMs = START_MS + 120_000;
    const onDisk: unknown[] = [];
    first.station.onUpdate(() => onDisk.push(first.store.alert(id)?.shelved?.by));
    const shelve = { type: 'shelve', untilMs, reason: 'known' } as const;
    expect(first.station.act(id, shelve, 'Wren')).toMatchObject({
      alert: { shelved: { untilMs } },
    });
    expect(onDisk).toEqual(['Wren']);
    expect(first.station.act(id, { ...shelve, untilMs: START_MS }, 'Wren')).toEqual({
      problem: 'The end of shelving must lie ahead.',
      why: 'refused',
    });
    expect(first.station.act('none', { type: 'silence' }, 'Wren')).toMatchObject({
      why: 'unknown',
    });
    // No farewell: what was told was on the disk already.
    first.store.close();

    const second = start(folder, START_MS + 30_000);
    for (let at = 31; at <= 121; at += 1) {
      second.say({ ...ALL_OFF, boiler: 8 });
      second.clock.advanceTo(START_MS + at * 1000);
    }
    const [alert] = second.station.openAlerts();
    expect(alert).toMatchObject({ id, phase: 'unacknowledged' });
    expect(alert).not.toHaveProperty('shelved');
    const story = second.store
      .alertEvents(id)
      .map(({ atMs, type, actor }) => [(atMs - START_MS) / 1000, type, actor]);
    expect(story).toEqual([
      [1, 'raised', 'panelward'],
      [1, 'shelved', 'Wren'],
      [61, 'shelving ends soon', 'panelward'],
      [120, 'unshelved', 'panelward'],
    ]);
    second.station.stop();
    second.store.close();
  });

  test('says why an alert cannot be acknowledged', () => {
    const { clock, store, station, say } = start(scratch());
    expect(station.acknowledge('no-such-alert', 'Wren')).toMatchObject({ why: 'unknown' });
    say({ ...ALL_OFF, boiler: 8 });
    clock.advanceTo(START_MS + 1000);
    const [alert] = station.openAlerts();
    const id = alert?.id ?? '';
    expect(station.acknowledge(id, 'Wren')).toMatchObject({ alert: { phase: 'acknowledged' } });
    // Twice is no mistake, and changes nothing.
    expect(station.acknowledge(id, 'Finch')).toMatchObject({ alert: { acknowledgedBy: 'Wren' } });
    say(ALL_OFF);
    clock.advanceTo(START_MS + 2000);
    expect(station.acknowledge(id, 'Wren')).toMatchObject({ why: 'refused' });
    station.stop();
    store.close();
  });

  test('readings reach the history, words and unknown points do no harm', () => {
    const { clock, store, station, say } = start(scratch());
    say({ ...ALL_OFF, kettle: 8.5 });
    station.take({ pointId: 'no-such-point', value: 1, atMs: START_MS });
    station.take({ pointId: 'kettle-amps', atMs: START_MS, isSilent: true });
    clock.advanceTo(START_MS + 1000);
    expect(store.health()).toMatchObject({ readingsBuffered: 4, readingsLost: 0 });
    station.stop();
    store.close();
  });
});
