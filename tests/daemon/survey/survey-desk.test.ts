/** The survey of any span out of kept pieces, beside one survey of every reading. */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import { openBoatFile } from '../../../daemon/boat-file.ts';
import { manualClock, type ManualClock } from '../../../daemon/clock.ts';
import type { Store } from '../../../daemon/store/store.ts';
import { openStore } from '../../../daemon/store/store.ts';
import { SurveyCache } from '../../../daemon/survey/survey-cache.ts';
import { SurveyDesk } from '../../../daemon/survey/survey-desk.ts';
import { BoatSurvey } from '../../../rules/index.ts';
import type { Boat, BoatSurveyed, Survey } from '../../../rules/index.ts';

const HOUR = 3_600_000;
const DAY = 24 * HOUR;
const START = Date.UTC(2026, 4, 1, 21, 30);

function smallBoat(): Boat {
  const file = new URL('../../fixtures/boats/small.yaml', import.meta.url).pathname;
  const { boat } = openBoatFile(file);
  if (!boat) throw new Error('the small test boat is not usable');
  return boat;
}
const boat = smallBoat();

interface Setting {
  store: Store;
  clock: ManualClock;
  folder: string;
  /** Spans that were read reading by reading. */
  read: [fromMs: number, toMs: number][];
  desk: SurveyDesk;
}

/** The heater runs a third of each ninety seconds, on volts that swing with the hour. */
async function recorded(hours: number, folder?: string): Promise<Setting> {
  const own = folder ?? mkdtempSync(join(tmpdir(), 'panelward-survey-'));
  const clock = manualClock(START);
  const store = openStore({ folder: own, clock, log: () => {}, ballastBytes: 0 });
  onTestFinished(() => {
    store.close();
    rmSync(own, { recursive: true, force: true });
  });
  for (let atMs = START; atMs < START + hours * HOUR; atMs += 5000) {
    if (atMs % HOUR === 0) {
      clock.advanceTo(atMs);
      await store.upkeep();
    }
    // Five minutes of each hour are lost.
    if (atMs % HOUR >= 20 * 60_000 && atMs % HOUR < 25 * 60_000) continue;
    const phase = (atMs / 1000) % 90;
    store.addReading({ pointId: 'heater-amps', value: phase < 30 ? 10 : 0, atMs });
    const volts = 118 + 2 * Math.sin(atMs / 700_000);
    store.addReading({ pointId: 'panel-volts', value: volts, atMs });
  }
  clock.advanceTo(START + hours * HOUR);
  await store.upkeep();
  return { store, clock, folder: own, ...deskOf(store, clock, join(own, 'surveys.db')) };
}

function deskOf(store: Store, clock: ManualClock, path: string, own: Boat = boat) {
  const read: [number, number][] = [];
  const cache = new SurveyCache(path);
  onTestFinished(() => cache.close());
  const desk = new SurveyDesk({
    boat: own,
    reader: {
      rollups: (query, signal) => store.reader.rollups(query, signal),
      readings: (query, signal) => {
        read.push([query.fromMs, query.toMs]);
        return store.reader.readings(query, signal);
      },
    },
    axis: () => store.axis(),
    nowMs: () => clock.nowMs(),
    cache,
  });
  return { desk, read };
}

/** One survey of every reading, as the command line makes it. */
async function plainly(store: Store, fromMs: number, toMs: number): Promise<BoatSurveyed> {
  const survey = new BoatSurvey(boat, fromMs, toMs);
  const points = [...boat.points.keys()];
  const query = { points, fromMs: fromMs - survey.leadMs, toMs: toMs + survey.leadMs };
  for await (const batch of store.reader.readings(query)) {
    for (const { pointId, atMs, value } of batch) survey.take(pointId, atMs, value);
  }
  return survey.surveyed();
}

async function catchUpAll({ desk }: Pick<Setting, 'desk'>): Promise<void> {
  while (await desk.catchUp(START - DAY));
}

function heater({ parts }: BoatSurveyed): Survey {
  const own = parts.find(({ id }) => id === 'heater');
  if (!own) throw new Error('the heater was not surveyed');
  return own.power;
}

function expectSame(found: Survey, expected: Survey): void {
  const { total, mean, coverage, peakDemand, ...rest } = found;
  expect(total).toBeCloseTo(expected.total ?? NaN, 5);
  expect(mean).toBeCloseTo(expected.mean ?? NaN, 5);
  expect(coverage).toBeCloseTo(expected.coverage, 9);
  expect(peakDemand?.mean).toBeCloseTo(expected.peakDemand?.mean ?? NaN, 6);
  expect(peakDemand?.fromMs).toBe(expected.peakDemand?.fromMs);
  const { total: _, mean: _m, coverage: _c, peakDemand: _p, ...others } = expected;
  expect(rest).toEqual(others);
}

describe('a span of hours and days', () => {
  it('comes to the same out of pieces as out of every reading', async () => {
    const setting = await recorded(53);
    const { store, desk, read } = setting;
    await catchUpAll(setting);
    for (const [from, to] of [
      [0.25, 52.9],
      [3, 50],
      [10.1, 11.05],
      [2.5, 26.5],
    ] as const) {
      read.length = 0;
      const [fromMs, toMs] = [START + from * HOUR, START + to * HOUR];
      const found = await desk.survey(fromMs, toMs);
      expect(found.roughMs).toBe(0);
      expectSame(heater(found), heater(await plainly(store, fromMs, toMs)));
      // Only the broken hours at the ends, and the ones that are not sealed yet.
      const readMs = read.reduce((sum, [first, end]) => sum + end - first, 0);
      expect(readMs).toBeLessThan(3 * HOUR);
    }
    // A third of 10 A at about 118 V; five minutes of each hour are not known, and not made up.
    const all = heater(await desk.survey(START, START + 53 * HOUR));
    expect(all.mean).toBeGreaterThan(380);
    expect(all.mean).toBeLessThan(400);
    expect(all.coverage).toBeCloseTo(55 / 60, 2);
    expect(all.runs?.starts).toBeGreaterThan(53 * 36 - 53);
    expect(all.runs?.starts).toBeLessThanOrEqual(53 * 37);
  });

  it('is not known before anything was recorded', async () => {
    const { desk } = await recorded(1);
    const found = await desk.survey(0, 5 * DAY);
    expect(heater(found)).toMatchObject({ coverage: 0, total: null, readings: 0 });
  });
});

describe('kept pieces', () => {
  it('outlive a restart, and a broken file is made anew', async () => {
    const setting = await recorded(30);
    await catchUpAll(setting);
    const path = join(setting.folder, 'surveys.db');
    const asked = [START + HOUR / 2, START + 28 * HOUR + HOUR / 2] as const;
    const expected = heater(await setting.desk.survey(...asked));
    const again = deskOf(setting.store, setting.clock, path);
    expectSame(heater(await again.desk.survey(...asked)), expected);
    expect(again.read).toEqual([]);
    const broken = join(setting.folder, 'broken.db');
    writeFileSync(broken, 'this is no database, and never was one');
    const anew = deskOf(setting.store, setting.clock, broken);
    await catchUpAll(anew);
    expectSame(heater(await anew.desk.survey(...asked)), expected);
  });

  it('are made anew when readings come late', async () => {
    const setting = await recorded(30);
    const { store, desk } = setting;
    await catchUpAll(setting);
    const hourMs = START + HOUR / 2 + 4 * HOUR;
    const asked = [hourMs, hourMs + 2 * HOUR] as const;
    const before = heater(await desk.survey(...asked));
    for (let atMs = hourMs + 20 * 60_000; atMs < hourMs + 25 * 60_000; atMs += 5000) {
      store.addReading({ pointId: 'heater-amps', value: 10, atMs });
      store.addReading({ pointId: 'panel-volts', value: 120, atMs });
    }
    await store.upkeep();
    const after = heater(await desk.survey(...asked));
    expect(after.coverage - before.coverage).toBeCloseTo(5 / 120, 2);
    // 1200 W for five minutes, and the step that leads into them.
    expect((after.total ?? 0) - (before.total ?? 0)).toBeCloseTo((1200 * 305) / 3600, 0);
    expectSame(after, heater(await plainly(store, ...asked)));
  });

  it('are made anew when the clock of their time is put right', async () => {
    const setting = await recorded(10);
    const { store, desk } = setting;
    const boot = { quality: 'synchronised', machineRun: null } as const;
    store.recordBoots([{ ...boot, number: 1, startsAtMs: START - HOUR, offsetMs: 0 }]);
    await catchUpAll(setting);
    const asked = [START + HOUR / 2, START + HOUR / 2 + 4 * HOUR] as const;
    expect(heater(await desk.survey(...asked)).total).toBeGreaterThan(1000);
    // The record of the first boot turns out to be ninety minutes later than it said.
    const present = { ...boot, number: 2, startsAtMs: START + 9 * HOUR, offsetMs: -90 * 60_000 };
    store.recordBoots([present]);
    expectSame(heater(await desk.survey(...asked)), heater(await plainly(store, ...asked)));
  });

  it.each([
    ['forward', 45],
    ['back', -45],
  ])('lose no energy when the wall clock jumps %s while running', async (_, minutes) => {
    const { store, desk } = await recorded(6);
    await catchUpAll({ desk });
    const asked = [START - 2 * HOUR, START + 8 * HOUR] as const;
    const before = heater(await desk.survey(...asked));
    const boot = { quality: 'synchronised', machineRun: null } as const;
    store.recordBoots([
      { ...boot, number: 1, startsAtMs: START - HOUR, offsetMs: 0 },
      { ...boot, number: 2, startsAtMs: START + 3 * HOUR, offsetMs: minutes * 60_000 },
    ]);
    await catchUpAll({ desk });
    const after = heater(await desk.survey(...asked));
    expect(before.total).toBeGreaterThan(2000);
    expect(Math.abs((after.total ?? 0) / (before.total ?? 1) - 1)).toBeLessThan(0.01);
    expect(after.coverage).toBeLessThanOrEqual(1);
  });

  it('are of one boat file: another way to survey makes them anew', async () => {
    const setting = await recorded(30);
    await catchUpAll(setting);
    const other: Boat = { ...boat, limits: { ...boat.limits, staleSeconds: 400 } };
    const path = join(setting.folder, 'surveys.db');
    const { desk } = deskOf(setting.store, setting.clock, path, other);
    await catchUpAll({ desk });
    const bridged = await desk.survey(START + HOUR / 2, START + 25 * HOUR + HOUR / 2);
    expect(heater(bridged).coverage).toBeCloseTo(1, 2);
  });
});

describe('what is neither kept nor little', () => {
  it('is told from quarters of an hour: energy and coverage are right, and it says so', async () => {
    const { store, desk, read } = await recorded(53);
    const asked = [START + HOUR / 2, START + 50 * HOUR + HOUR / 2] as const;
    const found = await desk.survey(...asked);
    const [rough, exact] = [heater(found), heater(await plainly(store, ...asked))];
    expect(found.roughMs).toBeGreaterThan(40 * HOUR * 0.9);
    expect(Math.abs((rough.total ?? 0) / (exact.total ?? 1) - 1)).toBeLessThan(0.01);
    expect(rough.coverage).toBeCloseTo(exact.coverage, 2);
    expect(rough.peakDemand?.mean).toBeCloseTo(exact.peakDemand?.mean ?? 0, -1);
    // Starts of the part that was read only; its own known time tells how long that was.
    expect(rough.runs?.knownMs).toBeLessThanOrEqual(4 * HOUR);
    const readMs = read.reduce((sum, [first, end]) => sum + end - first, 0);
    expect(readMs).toBeLessThan(8 * HOUR);
  });
});
