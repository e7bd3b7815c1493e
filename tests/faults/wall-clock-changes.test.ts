/**
 * The computer's wall clock jumps, stands wrong since its start, or changes between winter and summer
 * time, while a boat's alerts come, escalate and go. What is told must be the same to the second as
 * where nobody touched the clock. `SOAK=yes` plays whole scenarios second by second, where otherwise
 * it is the beginnings of two, every ten seconds.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, describe, expect, test } from 'vitest';
import { settingFor } from '../simulator/demo-boats.ts';
import { speakingEvery } from '../truth/run-fast.ts';
import type { Boat } from '../../rules/index.ts';
import { recorded, runStation } from './station-run.ts';
import type { Happened, Sensors, Wall } from './station-run.ts';

const IS_LONG = process.env['SOAK'] === 'yes';
const EVERY_MS = IS_LONG ? 1000 : 10_000;
const MINUTE_MS = 60_000;
const SHORT_MINUTES = 9;
const DAY_MS = 86_400_000;
const START_MS = Date.UTC(2026, 5, 1);
/** Between what raises the alerts and what ends them. */
const JUMPS_AT_MS = 5 * MINUTE_MS + 3000;

/** A clock that a time server keeps right. */
const kept = (startMs: number): Wall => ({
  nowMs: (passedMs) => startMs + passedMs,
  synchronisedAtMs: () => startMs,
});
/** One that jumps, and that nobody vouches for afterwards. */
const jumping = (byMs: number, backAfterMs = Infinity): Wall => {
  const offsetMs = (passedMs: number): number =>
    passedMs >= JUMPS_AT_MS && passedMs < JUMPS_AT_MS + backAfterMs ? byMs : 0;
  return {
    nowMs: (passedMs) => START_MS + passedMs + offsetMs(passedMs),
    synchronisedAtMs: () => START_MS,
  };
};
/** A computer without a clock of its own that finds a time server after some minutes. */
const bornIn1970: Wall = {
  nowMs: (passedMs) => (passedMs < JUMPS_AT_MS ? 0 : START_MS) + passedMs,
  synchronisedAtMs: (passedMs) => (passedMs < JUMPS_AT_MS ? null : START_MS + JUMPS_AT_MS),
};

const WALLS: [string, Wall][] = [
  ['a day forward', jumping(DAY_MS)],
  ['a day back', jumping(-DAY_MS)],
  ['a day forward and back again', jumping(DAY_MS, 2 * MINUTE_MS)],
  ['an hour back', jumping(-60 * MINUTE_MS)],
  ['half an hour forward', jumping(30 * MINUTE_MS)],
  ['a second back, as at a leap second', jumping(-1000)],
  ['from 1970 to the present', bornIn1970],
  // 2^31 seconds after 1970: where 32 bits end, 2038-01-19T03:14:08Z.
  ['past the end of 32 bits', kept(2 ** 31 * 1000 - JUMPS_AT_MS)],
];

interface Scene {
  boat: Boat;
  sensors: Sensors;
  untilMs: number;
}

const scenes = new Map<string, Scene>();
/** Played by the simulator once. */
function scene(name: string): Scene {
  const known = scenes.get(name);
  if (known) return known;
  const setting = settingFor(name, 3);
  const boat = IS_LONG ? setting.boat : speakingEvery(setting.boat, EVERY_MS);
  const untilMs = (IS_LONG ? setting.scenario.minutes : SHORT_MINUTES) * MINUTE_MS;
  const made = { boat, sensors: recorded({ ...setting, boat }, untilMs), untilMs };
  scenes.set(name, made);
  return made;
}

async function told(name: string, wall: Wall, restartAtMs?: number): Promise<Happened[]> {
  const folder = mkdtempSync(join(tmpdir(), 'panelward-clock-'));
  const restart = restartAtMs === undefined ? {} : { restartAtMs };
  const settings = { evaluateEveryMs: EVERY_MS, folder, wall, ...restart };
  const ran = await runStation({ ...scene(name), ...settings });
  rmSync(folder, { recursive: true });
  return ran.told;
}

const undisturbed = new Map<string, Promise<Happened[]>>();
/** What is told where the wall clock is right all along. */
function expected(name: string): Promise<Happened[]> {
  const known = undisturbed.get(name) ?? told(name, kept(START_MS));
  undisturbed.set(name, known);
  return known;
}

/** The first is over soon and tells of clearing, the second tells of escalation. */
const [CLEARING, ESCALATING] = ['overload-at-breakfast', 'shore-lost-at-night'];

test.each([CLEARING, ESCALATING])('%s tells before the clock jumps and after', async (name) => {
  const times = (await expected(name)).map(({ atSeconds }) => atSeconds * 1000);
  expect(Math.min(...times)).toBeLessThan(JUMPS_AT_MS);
  expect(Math.max(...times)).toBeGreaterThan(JUMPS_AT_MS);
});

describe('the same is told when the wall clock goes', () => {
  test.each(WALLS)('%s, of an overload that ends', async (_how, wall) => {
    expect(await told(CLEARING, wall)).toEqual(await expected(CLEARING));
  });

  const few = WALLS.filter(([how]) => /day (?:forward|back)$|1970/.test(how));
  test.each(IS_LONG ? WALLS : few)(
    '%s, of a shore that nobody acknowledges',
    async (_how, wall) => {
      expect(await told(ESCALATING, wall)).toEqual(await expected(ESCALATING));
    },
  );
});

test('a restart after the wall clock went back raises, clears and forgets nothing', async () => {
  const restartMs = JUMPS_AT_MS + 27_000;
  const [right, wrong] = [kept(START_MS), jumping(-DAY_MS)].map((wall) =>
    told(ESCALATING, wall, restartMs),
  );
  const words = ({ type, key }: Happened): string => `${type} ${key}`;
  const expectedWords = (await right)?.map(words) ?? [];
  expect(expectedWords.filter((text) => text.startsWith('escalated')).length).toBeGreaterThan(1);
  // The daemon's clock goes on from its last record, a minute of unknown time later, so what
  // escalates next may come that much sooner; nothing else may differ.
  const found = (await wrong)?.map(words) ?? [];
  expect(found.slice(0, expectedWords.length)).toEqual(expectedWords);
  expect(found.length - expectedWords.length).toBeLessThanOrEqual(1);
});

describe('where clocks change between winter and summer time', () => {
  const zone = process.env['TZ'];
  afterEach(() => {
    if (zone === undefined) delete process.env['TZ'];
    else process.env['TZ'] = zone;
  });

  // Instants of change from the IANA time zone database, release 2024a and later, for 2026.
  test.each([
    ['Europe/London', '2026-03-29T01:00Z', -60],
    ['Europe/London', '2026-10-25T01:00Z', 60],
    ['Pacific/Auckland', '2026-04-04T14:00Z', 60],
    ['Pacific/Auckland', '2026-09-26T14:00Z', -60],
    ['Australia/Lord_Howe', '2026-04-04T15:00Z', 30],
    ['Australia/Lord_Howe', '2026-10-03T15:30Z', -30],
  ])('%s at %s: nothing that is told depends on it', async (name, at, minutes) => {
    const changeMs = Date.parse(at);
    const startMs = changeMs - JUMPS_AT_MS;
    process.env['TZ'] = 'UTC';
    const inUtc = await told(CLEARING, kept(startMs));
    process.env['TZ'] = name;
    const offset = (ms: number): number => new Date(ms).getTimezoneOffset();
    expect(offset(changeMs) - offset(changeMs - 1)).toBe(minutes);
    expect(await told(CLEARING, kept(startMs))).toEqual(inUtc);
    expect(inUtc.map(({ type }) => type)).toContain('raised');
  });
});
