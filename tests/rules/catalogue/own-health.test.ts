/** panelward about itself: what it reports of its own health lives as any other alert does. */
import { describe, expect, test } from 'vitest';
import { readFileSync } from 'node:fs';
import { createWatch, readBoat } from '../../../rules/index.ts';
import type { Boat, SelfReport, Watch } from '../../../rules/index.ts';

const START_MS = 1_700_000_000_000;
const MINUTE_S = 60;
const STEP_S = 5;

function boatIn(change: (text: string) => string = (text) => text): Boat {
  const path = new URL('../../fixtures/boats/restless.yaml', import.meta.url);
  const { boat } = readBoat(change(readFileSync(path, 'utf8')), 'restless.yaml');
  if (!boat) throw new Error('the test boat is not usable');
  return boat;
}

/** A watch whose sensors all speak, while panelward reports of itself. */
class Aboard {
  readonly boat: Boat;
  watch: Watch;
  atS = 0;
  isHeard = true;
  amps: Record<string, number> = {};
  readonly told: string[] = [];

  constructor(boat = boatIn()) {
    this.boat = boat;
    this.watch = createWatch(boat);
  }

  /** Goes on for so many seconds in steps of five, saying the same of itself; null: nothing. */
  go(seconds: number, report: Partial<SelfReport> | null): void {
    for (let i = 0; i < seconds; i += STEP_S) {
      this.atS += STEP_S;
      const atMs = START_MS + this.atS * 1000;
      if (report) this.watch.report({ ...report, atMs });
      if (this.isHeard) {
        for (const { id } of this.boat.points.values()) {
          this.watch.take({ pointId: id, value: this.amps[id] ?? 0, atMs });
        }
      }
      for (const { type, alertId, alert } of this.watch.evaluate(atMs).alertEvents) {
        const key = alertId.replace(/\.\d+$/, '');
        this.told.push(`${type} ${key}${type === 'raised' ? ` ${alert.priority}` : ''}`);
      }
    }
  }

  restart(): void {
    const saved = JSON.parse(JSON.stringify(this.watch.save(START_MS + this.atS * 1000)));
    this.watch = createWatch(this.boat, saved, 1000);
  }

  /** What was told of panelward itself. */
  get own(): string[] {
    const names =
      /disk-filling|record-not|clock-not|panelward-slow|letters-w|computer-p|certificate|link-down/;
    return this.told.filter((line) => names.test(line));
  }
}

interface Case {
  name: string;
  bad: Partial<SelfReport>;
  /** The worst that is no reason yet. */
  good: Partial<SelfReport>;
  /** What ends it, where that is better still. */
  over?: Partial<SelfReport>;
  onDelayS: number;
  raised: string;
}

const CASES: Case[] = [
  {
    name: 'a record that cannot be written',
    bad: { record: { isWritable: false, lastError: 'disk I/O error' } },
    good: { record: { isWritable: true, lastError: null } },
    onDelayS: MINUTE_S,
    raised: 'record-not-written warning',
  },
  {
    name: 'a full disk',
    bad: { disk: { space: 'full', freeBytes: 1e6 } },
    good: { disk: { space: 'enough', freeBytes: 1e10 } },
    onDelayS: MINUTE_S,
    raised: 'disk-filling warning',
  },
  {
    name: 'a disk that fills',
    bad: { disk: { space: 'little', freeBytes: 3e9 } },
    good: { disk: { space: 'enough', freeBytes: 1e10 } },
    onDelayS: 5 * MINUTE_S,
    raised: 'disk-filling caution',
  },
  {
    name: 'a loop that is late',
    bad: { loopLagMs: 1001 },
    good: { loopLagMs: 1000 },
    over: { loopLagMs: 500 },
    onDelayS: 5 * MINUTE_S,
    raised: 'panelward-slow caution',
  },
  {
    name: 'letters that wait',
    bad: { letters: { oldestDueMs: 15 * 60_000 + 1 } },
    good: { letters: { oldestDueMs: 15 * 60_000 } },
    onDelayS: 0,
    raised: 'letters-waiting caution',
  },
  {
    name: 'too little voltage at the computer',
    bad: { power: { isUndervoltage: true, isThrottled: true } },
    good: { power: { isUndervoltage: false, isThrottled: false } },
    onDelayS: 30,
    raised: 'computer-power warning',
  },
  {
    name: 'a computer that slows itself down',
    bad: { power: { isUndervoltage: false, isThrottled: true } },
    good: { power: { isUndervoltage: false, isThrottled: false } },
    onDelayS: 5 * MINUTE_S,
    raised: 'computer-power caution',
  },
  {
    name: 'a certificate that ends within thirty days',
    bad: { certificate: { daysLeft: 30 } },
    good: { certificate: { daysLeft: 30.1 } },
    onDelayS: 0,
    raised: 'certificate-ends caution',
  },
  {
    name: 'a certificate that ends within a week',
    bad: { certificate: { daysLeft: 7 } },
    good: { certificate: { daysLeft: 31 } },
    onDelayS: 0,
    raised: 'certificate-ends warning',
  },
  {
    name: 'a broker that cannot be reached',
    bad: { links: { mqtt: { address: '192.0.2.9:1883', isConnected: false }, marineData: null } },
    good: { links: { mqtt: { address: '192.0.2.9:1883', isConnected: true }, marineData: null } },
    onDelayS: 45,
    raised: 'link-down.mqtt caution',
  },
];

describe.each(CASES)('$name', ({ bad, good, over, onDelayS, raised }) => {
  test('is told after its delay, once, and not before; its end is told', () => {
    const aboard = new Aboard();
    aboard.go(10 * MINUTE_S, good);
    expect(aboard.own).toEqual([]);
    // The delay begins with the first of them.
    aboard.go(onDelayS, bad);
    expect(aboard.own).toEqual([]);
    aboard.go(STEP_S, bad);
    expect(aboard.own).toEqual([`raised ${raised}`]);
    aboard.go(2 * MINUTE_S, bad);
    aboard.go(12 * MINUTE_S, over ?? good);
    expect(aboard.own).toHaveLength(2);
    expect(aboard.own[1]).toMatch(
      raised.endsWith('caution') ? /^closed |^returned / : /^returned /,
    );
  });

  test('is neither raised nor over while nothing is reported, and outlives a restart', () => {
    const aboard = new Aboard();
    aboard.go(10 * MINUTE_S, null);
    expect(aboard.own).toEqual([]);
    aboard.go(STEP_S + onDelayS, bad);
    expect(aboard.own).toEqual([`raised ${raised}`]);
    aboard.restart();
    aboard.go(30 * MINUTE_S, null);
    expect(aboard.own.filter((line) => !line.startsWith('held'))).toEqual([`raised ${raised}`]);
    expect(aboard.watch.openAlerts().some(({ rule }) => raised.startsWith(rule))).toBe(true);
  });
});

describe('one cause is one alert', () => {
  test('a full disk tells of the record that cannot be written', () => {
    const aboard = new Aboard();
    const full: Partial<SelfReport> = {
      disk: { space: 'full', freeBytes: 0 },
      record: { isWritable: false, lastError: 'database or disk is full' },
    };
    aboard.go(10 * MINUTE_S, full);
    expect(aboard.own).toEqual(['raised disk-filling warning']);
    const [alert] = aboard.watch.openAlerts();
    expect(alert?.symptoms.map(({ key }) => key)).toEqual(['record-not-written']);
  });

  test('a broker that is down tells of its silent sensors; after ten minutes it is a warning', () => {
    const aboard = new Aboard();
    const link = (isConnected: boolean): Partial<SelfReport> => ({
      links: { mqtt: { address: '192.0.2.9:1883', isConnected }, marineData: null },
    });
    aboard.go(MINUTE_S, link(true));
    aboard.told.length = 0;
    aboard.isHeard = false;
    aboard.go(9 * MINUTE_S, link(false));
    expect(aboard.told.filter((line) => line.startsWith('raised'))).toEqual([
      'raised link-down.mqtt caution',
    ]);
    aboard.go(2 * MINUTE_S, link(false));
    expect(aboard.told).toContain('priority changed link-down.mqtt');
    const [alert] = aboard.watch.openAlerts();
    expect(alert?.symptoms.map(({ key }) => key)).toContain('sensor-silent.all');
    expect(alert?.priority).toBe('warning');
  });
});

test('a clock that nobody sets is told after a day, on the clock that never steps', () => {
  const aboard = new Aboard();
  let atMs = START_MS;
  const told: [number, string][] = [];
  for (let minutes = 0; minutes <= 25 * 60; minutes++) {
    atMs += 60_000;
    aboard.watch.report({ atMs, clock: { isSynchronised: false } });
    for (const { alertId, type } of aboard.watch.evaluate(atMs).alertEvents) {
      if (alertId.startsWith('clock-not-set')) told.push([minutes, type]);
    }
  }
  expect(told).toEqual([[24 * 60, 'raised']]);
});

describe('a boat file that changed between two runs', () => {
  test('closes alerts of parts that are gone, whatever was done about them, and says why', () => {
    const before = new Aboard();
    const atMs = (): number => START_MS + before.atS * 1000;
    // The boiler of this boat must not run without its pump.
    before.amps = { 'boiler-amps': 8 };
    before.go(MINUTE_S, null);
    const open = before.watch.openAlerts();
    expect(open.length).toBeGreaterThan(0);
    for (const { id } of open) {
      before.watch.act(id, { type: 'shelve', untilMs: atMs() + 3_600_000 }, 'Wren', atMs());
    }
    const saved = JSON.parse(JSON.stringify(before.watch.save(atMs())));
    const other = new URL('../../fixtures/boats/pumps.yaml', import.meta.url);
    const { boat } = readBoat(readFileSync(other, 'utf8'), 'pumps.yaml');
    if (!boat) throw new Error('the other boat is not usable');
    const after = createWatch(boat, saved, 1000);
    const { alertEvents } = after.evaluate(atMs() + 60_000);
    const closed = alertEvents.filter(({ type }) => type === 'closed');
    const stays = new Set(after.openAlerts().map(({ id }) => id));
    const gone = open.filter(({ id }) => !stays.has(id));
    expect(gone.length).toBeGreaterThan(0);
    expect(closed.map(({ alertId }) => alertId).sort()).toEqual(gone.map(({ id }) => id).sort());
    for (const { alert, actor } of closed) {
      expect(alert.ended).toEqual({ why: 'no longer watched' });
      expect(actor).toBe('panelward');
    }
    expect(after.evaluate(atMs() + 61_000).alertEvents).toEqual([]);
  });
});
