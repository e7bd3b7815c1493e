/**
 * A plug that gets worse is seen through hot afternoons with busy neighbours, and those alone are
 * not taken for a plug. The dock is arithmetic of its own; see `dock.ts`.
 */
import { describe, expect, test } from 'vitest';
import { createRandom } from '../../../simulator/random.ts';
import type { Random } from '../../../simulator/random.ts';
import { inletReadings, Play } from './dock.ts';
import type { DockState } from './dock.ts';
import { splitPhaseBoat } from './shore-boat.ts';

const SEEDS = [1, 2, 3];
const HEATER = 12;
const BASE = 18;
const MINUTE = 60_000;

/** How much the neighbours use, 0..1, by hour of a hot day. */
const heat = (hour: number): number => Math.max(0, Math.sin(((hour - 8) / 14) * Math.PI)) ** 2;

interface Days {
  days: number;
  /** Ohms of each leg's plug by day. */
  plugOhms: (day: number) => [number, number];
  /** Hot wire and neutral of the sound path. */
  pathOhms?: (day: number) => number;
  /** Hours at which the shore is dead for some minutes. */
  deadAt?: { hour: number; minutes: number };
  legsUsed?: readonly (0 | 1)[];
}

/** Once an hour a heater goes on and off again, while the neighbours pull the dock down. */
function playDays(setting: Days, random: Random, until: (play: Play, day: number) => boolean) {
  const play = new Play(splitPhaseBoat());
  const legsUsed = setting.legsUsed ?? [0, 1];
  for (let hour = 0; hour < setting.days * 24; hour++) {
    const day = hour / 24;
    const sag = 9 * heat(hour % 24);
    const own = BASE + 6 * heat(hour % 24);
    const plug = setting.plugOhms(day);
    const path = setting.pathOhms?.(day) ?? 0.07;
    let flicker = 0;
    const seconds = (count: number, leg: 0 | 1, isOn: boolean): void => {
      for (let i = 0; i < count; i++) {
        flicker += 0.1 * random.gaussian() - 0.05 * flicker;
        const volts = 122 - sag + flicker;
        const dock: DockState = {
          openVolts: [volts, volts],
          legOhms: [path + plug[0], path + plug[1]],
          neutralOhms: path,
          amps: [own + (isOn && leg === 0 ? HEATER : 0), own + (isOn && leg === 1 ? HEATER : 0)],
        };
        play.second({
          ...inletReadings(dock, random),
          'heater-amps': isOn && leg === 0 ? HEATER : 0,
        });
      }
    };
    if (setting.deadAt?.hour === hour) {
      for (let i = 0; i < setting.deadAt.minutes * 60; i++) {
        const dead = ['bow-1', 'bow-2', 'bow-across', 'bow-amps-1', 'bow-amps-2'];
        const rest = ['panel-1', 'panel-2', 'heater-amps', 'charger-amps'];
        play.second(Object.fromEntries([...dead, ...rest].map((id) => [id, 0])));
      }
    }
    for (const leg of legsUsed) {
      seconds(8, leg, false);
      seconds(8, leg, true);
      play.leap(12 * MINUTE);
      seconds(8, leg, true);
      seconds(8, leg, false);
      play.leap(15 * MINUTE);
    }
    if (until(play, day)) return { play, day };
  }
  return { play, day: setting.days };
}

const PLUG = 'connection-going-bad.bow';
const isWarned = (play: Play): boolean =>
  play.raised.some((own) => own.key === PLUG && own.priority !== 'caution');

describe('a contact that grows from 0.01 to 0.08 ohm in nine days on one leg', () => {
  test.each(SEEDS)('is a warning before it makes 60 W at the usual load (seed %i)', (seed) => {
    const plug = (day: number): number => 0.01 + (0.07 * day) / 9;
    const { play, day } = playDays(
      { days: 9, plugOhms: (at) => [plug(at), 0.01] },
      createRandom(seed, 'plug'),
      isWarned,
    );
    const alert = play.raised.findLast((own) => own.key === PLUG)?.alert;
    expect(alert?.priority).toBe('warning');
    expect(alert?.subject).toEqual({ part: 'bow', leg: 'L1' });
    expect(alert?.title).toMatch(/at Bow inlet on leg L1 got worse: about \d+ W of heat/);
    expect((BASE + HEATER) ** 2 * plug(day)).toBeLessThan(60);
  });
});

describe('a hot dock with busy neighbours and a sound plug', () => {
  test.each(SEEDS)('is told as low voltage at most, never as a plug (seed %i)', (seed) => {
    const sound: Days = { days: 5, plugOhms: () => [0.01, 0.01] };
    const { play } = playDays(sound, createRandom(seed, 'hot dock'), () => false);
    expect(play.told.filter((own) => !own.startsWith('low-voltage'))).toEqual([]);
  });

  test('a cord warm from its load, a tenth up, is no plug either', () => {
    const warm: Days = {
      days: 4,
      plugOhms: () => [0.01, 0.01],
      pathOhms: (day) => 0.07 * (1 + 0.09 * heat((day % 1) * 24)),
    };
    const { play } = playDays(warm, createRandom(7, 'warm'), () => false);
    expect(play.told.filter((own) => own.startsWith('connection'))).toEqual([]);
  });
});

describe('after the inlet was dead', () => {
  const growing = (day: number): [number, number] => [0.01 + (0.07 * day) / 9, 0.01];

  test('the first picture of the same cord goes on', () => {
    const { play } = playDays(
      { days: 9, plugOhms: growing, deadAt: { hour: 100, minutes: 6 } },
      createRandom(11, 'outage'),
      isWarned,
    );
    expect(isWarned(play)).toBe(true);
    expect(play.told.filter((own) => own.startsWith('connection-differs'))).toEqual([]);
  });

  test.each(SEEDS)('twice the resistance asks about a longer cord, once (seed %i)', (seed) => {
    const { play } = playDays(
      {
        days: 4,
        plugOhms: () => [0, 0],
        // 40 milliohm there and back, then 79.
        pathOhms: (day) => (day < 2 ? 0.02 : 0.0395),
        deadAt: { hour: 48, minutes: 3 },
      },
      createRandom(seed, 'longer cord'),
      () => false,
    );
    const own = play.raised.filter((told) => told.key.startsWith('connection'));
    expect(own.map((told) => `${told.key} ${told.priority}`)).toEqual([
      'connection-differs.bow caution',
    ]);
    expect(own[0]?.alert.title).toMatch(/longer cord/);
  });
});

test('more than 100 W at the current of the moment is an alarm', () => {
  const { play } = playDays(
    { days: 4, plugOhms: (day) => [day < 2 ? 0.01 : 0.25, 0.01] },
    createRandom(5, 'burning'),
    () => false,
  );
  const alarms = play.raised.filter((own) => own.key === PLUG && own.priority === 'alarm');
  expect(alarms.length).toBeGreaterThan(0);
  expect(alarms[0]?.alert.doThis).toMatch(/loads off now/);
});
