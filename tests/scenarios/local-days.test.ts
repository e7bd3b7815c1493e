/**
 * The load survey of local days of 23 and 25 hours, over a gap, and over a wall clock that jumps
 * while running, out of a store on the disk, against the simulator's own meters: those add up its
 * physics and know nothing of readings, clocks or pieces. The sensors lose, delay and double messages
 * but are exact: a noisy clamp reads a little at rest, which over a day is more than a survey's error. Dates of the change of clocks: Directive
 * 2000/84/EC (last Sundays of March and October), and 15 U.S.C. 260a (second Sunday of March, first
 * of November), from memory; the local midnights come from the calendar of the page, and their
 * distance is checked.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { beforeAll, describe, expect, it, onTestFinished } from 'vitest';
import { manualClock } from '../../daemon/clock.ts';
import { openStore, type Store } from '../../daemon/store/store.ts';
import { SurveyCache } from '../../daemon/survey/survey-cache.ts';
import { SurveyDesk, type SurveyOfSpan } from '../../daemon/survey/survey-desk.ts';
import type { Boat, PartId, Reading } from '../../rules/index.ts';
import { wholeOf } from '../../dashboard/models/calendar.ts';
import { pointFinder, powerRecipe } from '../../rules/survey/power-recipe.ts';
import type { Scenario } from '../../simulator/scenarios/scenario.ts';
import { scenarioNamed } from '../../simulator/scenarios/index.ts';
import { EVERYDAY_SENSORS } from '../../simulator/sensors/sensor-faults.ts';
import { shipFor, willowDipper } from '../simulator/demo-boats.ts';
import { runFast, speakingEvery, START_MS } from '../truth/run-fast.ts';

const HOUR_MS = 3_600_000;
/** The meters are read so often; everything below is a multiple of it. */
const LOOK_MS = 600_000;
/** An hour before the local day, the longest day, and half an hour after it. */
const RUN_MS = 26.5 * HOUR_MS;
/** No reading comes for so long: counted from the start of the run. */
const GAP = { fromMs: 9 * HOUR_MS, toMs: 9 * HOUR_MS + 4 * LOOK_MS };

const boat = speakingEvery(willowDipper, 5000);
/** Of these volts times amperes is real power: they are resistive, or direct current. */
const WITHOUT_REACTANCE = ['immersion', 'roof-solar'];

interface Recorded {
  readings: Reading[];
  /** Joules of each part, by looks after the start. */
  meters: Map<PartId, number>[];
  surveyed: Boat;
  parts: PartId[];
}

let recorded: Recorded;
beforeAll(() => {
  recorded = record();
}, 400_000);

/** The boat with the points of those parts only whose real power is measured. */
function realPower(): { surveyed: Boat; parts: PartId[] } {
  const pointFor = pointFinder(boat);
  const real = [...boat.sources, ...boat.circuits].flatMap((part) => {
    const recipe = powerRecipe(boat, part, pointFor);
    const isReal = recipe?.basis === 'measured watts' || WITHOUT_REACTANCE.includes(part.id);
    return recipe && isReal ? [{ id: part.id, points: recipe.points }] : [];
  });
  const ids = new Set(real.flatMap(({ points }) => points.map(({ id }) => id)));
  const points = new Map([...boat.points].filter(([id]) => ids.has(id)));
  return { surveyed: { ...boat, points }, parts: real.map(({ id }) => id) };
}

function record(): Recorded {
  const { surveyed, parts } = realPower();
  const meters: Recorded['meters'] = [new Map()];
  const readings: Reading[] = [];
  runFast({
    boat,
    ship: shipFor(boat),
    scenario: scenarioNamed('quiet-day-canal') as Scenario,
    seed: 11,
    faults: { ...EVERYDAY_SENSORS, hasGainError: false, hasPhantom: false, hasNoise: false },
    startsAt: '23:00',
    evaluateEveryMs: LOOK_MS,
    untilMs: RUN_MS,
    hear: (input) => {
      if ('value' in input && surveyed.points.has(input.pointId)) readings.push(input);
    },
    look: ({ simulation }) => {
      const truth = simulation.truth();
      const joules = (id: PartId): number =>
        (truth.circuits.get(id) ?? truth.sources.get(id))?.joules ?? 0;
      meters.push(new Map(parts.map((id) => [id, joules(id)])));
    },
  });
  return { readings, meters, surveyed, parts };
}

interface Kept {
  store: Store;
  desk: SurveyDesk;
}

/** The run in a store, its start at `startMs` of the daemon's clock, without what came in the gap. */
async function kept(startMs: number): Promise<Kept> {
  const folder = mkdtempSync(join(tmpdir(), 'panelward-days-'));
  const clock = manualClock(startMs);
  const store = openStore({ folder, clock, log: () => {}, ballastBytes: 0 });
  const cache = new SurveyCache(join(folder, 'surveys.db'));
  onTestFinished(() => {
    cache.close();
    store.close();
    rmSync(folder, { recursive: true, force: true });
  });
  for (const { pointId, value, atMs } of recorded.readings) {
    const ranMs = atMs - START_MS;
    // The meters are not read before.
    if (ranMs < LOOK_MS) continue;
    if (ranMs >= GAP.fromMs && ranMs < GAP.toMs) continue;
    store.addReading({ pointId, value, atMs: startMs + ranMs });
  }
  clock.advanceTo(startMs + RUN_MS);
  await store.upkeep();
  const { reader } = store;
  const parts = { boat: recorded.surveyed, reader, axis: () => store.axis(), cache };
  return { store, desk: new SurveyDesk({ ...parts, nowMs: () => clock.nowMs() }) };
}

/** What the meter of a part counted between two instants of the run, in watt-hours, the gap left out. */
function metered(id: PartId, fromMs: number, toMs: number): number {
  const at = (ranMs: number): number => recorded.meters[ranMs / LOOK_MS]?.get(id) ?? NaN;
  const between = (a: number, b: number): number => (b > a ? at(b) - at(a) : 0);
  const gap = between(Math.max(fromMs, GAP.fromMs), Math.min(toMs, GAP.toMs));
  return (between(fromMs, toMs) - gap) / 3600;
}

/** Holds every part to its meter within 1 %; gives what was found, with its coverage. */
function expectMetered(found: SurveyOfSpan, fromMs: number, toMs: number): string[] {
  expect(recorded.parts.length).toBeGreaterThanOrEqual(3);
  return recorded.parts.map((id) => {
    const power = found.parts.find((part) => part.id === id)?.power;
    const meter = metered(id, fromMs, toMs);
    const total = power?.total ?? NaN;
    const text =
      `${id}: meter ${meter.toFixed(1)} Wh, survey ${total.toFixed(1)} Wh, ` +
      `coverage ${(100 * (power?.coverage ?? 0)).toFixed(2)} %`;
    expect(meter, text).toBeGreaterThan(100);
    expect(Math.abs(total / meter - 1), text).toBeLessThan(0.01);
    return text;
  });
}

/** Minutes behind UTC of a named zone, from the computer's own time zone database. */
function offsetIn(zone: string): (atMs: number) => number {
  const format = new Intl.DateTimeFormat('en', { timeZone: zone, timeZoneName: 'longOffset' });
  return (atMs) => {
    const name = format.formatToParts(atMs).find(({ type }) => type === 'timeZoneName')?.value;
    const [, sign, hours, minutes] = /GMT(?:([+-])(\d\d):(\d\d))?/.exec(name ?? '') ?? [];
    return (sign === '-' ? 1 : -1) * (60 * Number(hours ?? 0) + Number(minutes ?? 0));
  };
}

describe('a local day', { timeout: 120_000 }, () => {
  it.each([
    ['Europe/Berlin', { year: 2026, month: 3, day: 29 }, 23],
    ['Europe/Berlin', { year: 2026, month: 10, day: 25 }, 25],
    ['America/New_York', { year: 2026, month: 3, day: 8 }, 23],
    ['America/New_York', { year: 2026, month: 11, day: 1 }, 25],
  ])('in %s on %o of %i hours agrees with the meters', async (zone, day, hours) => {
    const { fromMs, toMs } = wholeOf('day', day, offsetIn(zone));
    expect((toMs - fromMs) / HOUR_MS).toBe(hours);
    const { desk } = await kept(fromMs - HOUR_MS);
    while (await desk.catchUp(fromMs - HOUR_MS));
    const found = await desk.survey(fromMs, toMs);
    const lines = expectMetered(found, HOUR_MS, HOUR_MS + toMs - fromMs);
    console.log([`${zone}, ${hours} h:`, ...lines].join('\n'));
    // Forty minutes of the day are not known, and said to be.
    const known = 1 - (GAP.toMs - GAP.fromMs) / (toMs - fromMs);
    for (const { power } of found.parts) {
      expect(power.coverage).toBeLessThan(known + 0.001);
      expect(power.coverage).toBeGreaterThan(known - 0.01);
    }
  });
});

describe('a wall clock that jumps while running', { timeout: 120_000 }, () => {
  const BOOT = { quality: 'synchronised', machineRun: null } as const;
  const startMs = Date.UTC(2026, 4, 1, 5);
  const JUMPS = [
    { ranMs: 4 * HOUR_MS, byMs: 40 * 60_000 },
    { ranMs: 15 * HOUR_MS, byMs: -95 * 60_000 },
  ];

  it.each([
    ['forward', JUMPS.slice(0, 1)],
    ['back', JUMPS.slice(1)],
    ['forward and back', JUMPS],
  ])('%s costs and doubles no energy, read or rough', async (how, jumps) => {
    const { store, desk } = await kept(startMs);
    let offsetMs = 0;
    const boots = jumps.map(({ ranMs, byMs }, index) => {
      offsetMs += byMs;
      return { ...BOOT, number: index + 2, startsAtMs: startMs + ranMs, offsetMs };
    });
    const first = { ...BOOT, number: 1, startsAtMs: startMs - HOUR_MS, offsetMs: 0 };
    store.recordBoots([first, ...boots]);
    const endMs = RUN_MS - (RUN_MS % LOOK_MS);
    const span = [startMs - 4 * HOUR_MS, startMs + RUN_MS + 4 * HOUR_MS] as const;
    const rough = await desk.survey(...span);
    expect(rough.roughMs).toBeGreaterThan(10 * HOUR_MS);
    const roughly = expectMetered(rough, LOOK_MS, endMs);
    while (await desk.catchUp(startMs - 4 * HOUR_MS));
    const found = await desk.survey(...span);
    expect(found.roughMs).toBe(0);
    const exactly = expectMetered(found, LOOK_MS, endMs);
    console.log([`${how}, rough:`, ...roughly, 'read:', ...exactly].join('\n'));
    for (const { power } of [...rough.parts, ...found.parts]) {
      expect(power.coverage).toBeGreaterThan(0.7);
      expect(power.coverage).toBeLessThan((RUN_MS - GAP.toMs + GAP.fromMs) / (span[1] - span[0]));
    }
  });
});
