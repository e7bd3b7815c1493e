/** Adapters, unused inlets, losses on return, and one cause told once, on the two-leg test boat. */
import { describe, expect, test } from 'vitest';
import type { Boat } from '../../../rules/index.ts';
import { createRandom } from '../../../simulator/random.ts';
import { inletReadings, Play } from './dock.ts';
import { splitPhaseBoat } from './shore-boat.ts';

function withoutPoint(boat: Boat, id: string): Boat {
  return { ...boat, points: new Map([...boat.points].filter(([own]) => own !== id)) };
}

const DEAD = {
  'bow-1': 0,
  'bow-2': 0,
  'bow-across': 0,
  'bow-amps-1': 0,
  'bow-amps-2': 0,
  'bow-hertz': 0,
  'panel-1': 0,
  'panel-2': 0,
  'heater-amps': 0,
  'charger-amps': 0,
  'bank-amps': -14,
};

const seconds = (play: Play, count: number, own: Record<string, number | null> = {}): void => {
  for (let i = 0; i < count; i++) play.second(own);
};

describe('two legs of one feed, with nothing across them measured', () => {
  const told = (isOnePhase: boolean): string[] => {
    const play = new Play(withoutPoint(splitPhaseBoat(), 'bow-across'));
    const random = createRandom(2, 'adapter');
    for (let i = 0; i < 16; i++) {
      const amps: [number, number] = i % 2 === 0 ? [4, 5] : [14, 5];
      for (let n = 0; n < 8; n++) {
        const { 'bow-across': _, ...own } = inletReadings(
          {
            openVolts: [122, 122],
            legOhms: isOnePhase ? [0.06, 0.06] : [0.1, 0.1],
            neutralOhms: 0.1,
            amps,
            isOnePhase,
          },
          random,
        );
        play.second(own);
      }
    }
    expect(play.open.every((own) => own.title.length <= 160)).toBe(true);
    return play.told;
  };

  test('are told as one phase', () => expect(told(true)).toEqual(['shore-kind.bow warning']));
  test('sound legs of their own are not', () => expect(told(false)).toEqual([]));
});

test('power that comes back and goes within a minute has tripped on return', () => {
  const play = new Play(splitPhaseBoat());
  seconds(play, 120);
  seconds(play, 60, DEAD);
  expect(play.open[0]?.means).not.toMatch(/tripped on return/);
  seconds(play, 30);
  seconds(play, 30, DEAD);
  expect(play.told).toEqual(['shore-power-lost.bow alarm']);
  expect(play.open[0]?.means).toMatch(/It tripped on return once/);
  expect(play.open[0]?.doThis).toMatch(/Switch every load off before the breaker is reset/);
  expect(play.raised).toHaveLength(1);
});

test('a loss with all that follows from it is one alert, and lists what follows', () => {
  const play = new Play(splitPhaseBoat());
  seconds(play, 300);
  // The board with the AC sensors of the panel dies with the mains, the inlet's own volts go on.
  const board = ['panel-1', 'panel-2', 'heater-amps', 'charger-amps', 'air-amps'];
  const silent = Object.fromEntries(board.map((id) => [id, null]));
  seconds(play, 1500, { ...DEAD, ...silent });
  expect(play.raised.map((own) => own.key)).toEqual(['shore-power-lost.bow']);
  const [alert] = play.open;
  const symptoms = alert?.symptoms.map((own) => own.key) ?? [];
  expect(symptoms).toContain('sensor-silent.panel-1');
  expect(symptoms.length).toBeGreaterThanOrEqual(4);
});

describe('a loss of which nothing is remembered after a start', () => {
  const lost = (): Play => {
    const play = new Play(splitPhaseBoat());
    seconds(play, 120);
    seconds(play, 60, DEAD);
    play.restartWithoutMemory();
    return play;
  };

  test('goes on while the inlet reads no voltage, and is over when shore power is back', () => {
    const play = lost();
    seconds(play, 60, DEAD);
    expect(play.open).toMatchObject([
      { rule: 'shore-power-lost', phase: 'unacknowledged', isHeld: false },
    ]);
    seconds(play, 240);
    expect(play.open).toMatchObject([{ rule: 'shore-power-lost', phase: 'returned' }]);
    expect(play.open[0]?.ended).toBeUndefined();
    expect(play.raised.map((own) => own.key)).toEqual(['shore-power-lost.bow']);
  });

  test('is held while no sensor speaks', () => {
    const play = lost();
    const names = [...Object.keys(DEAD), 'air-amps', 'stern-1', 'stern-2'];
    seconds(play, 60, Object.fromEntries(names.map((id) => [id, null])));
    const loss = play.open.find(({ rule }) => rule === 'shore-power-lost');
    expect(loss).toMatchObject({ phase: 'unacknowledged', isHeld: true });
  });
});

describe('an inlet that is live though it does not feed the boat', () => {
  const stern = (volts: number) => ({ 'stern-1': volts, 'stern-2': volts + 0.2 });

  test('is nobody’s alarm on a boat that may have a cord in each', () => {
    const play = new Play(splitPhaseBoat());
    seconds(play, 600, stern(121));
    expect(play.told).toEqual([]);
  });

  test('is an emergency after 3 s where the boat file says that there is one cord', () => {
    const play = new Play(splitPhaseBoat({ shoreCords: 1 }));
    seconds(play, 60);
    seconds(play, 2, stern(121));
    expect(play.told).toEqual([]);
    seconds(play, 3, stern(121));
    expect(play.told).toEqual(['unused-inlet-live.stern emergency alarm']);
  });

  test('is none while the one cord is moved from one inlet to the other', () => {
    const play = new Play(splitPhaseBoat({ shoreCords: 1 }));
    seconds(play, 60);
    seconds(play, 60, DEAD);
    seconds(play, 60, { ...DEAD, ...stern(121) });
    expect(play.told.filter((own) => own.startsWith('unused'))).toEqual([]);
  });

  const onGenerator = (sternFollows: boolean): string[] => {
    const play = new Play(splitPhaseBoat());
    const random = createRandom(9, 'backfeed');
    const bow = ['bow-1', 'bow-2', 'bow-across', 'bow-amps-1', 'bow-amps-2', 'bow-hertz'];
    const off = Object.fromEntries(bow.map((id) => [id, 0]));
    for (let i = 0; i < 14; i++) {
      const heater = i % 2 === 0 ? 0 : 12;
      for (let n = 0; n < 10; n++) {
        const noise = (): number => 0.1 * random.gaussian();
        const volts = 121 - 0.15 * (6 + heater);
        play.second({
          ...off,
          'generator-1': volts + noise(),
          'generator-2': 120.4 + noise(),
          'generator-amps-1': 6 + heater,
          'generator-amps-2': 6,
          'panel-1': volts + noise(),
          'panel-2': 120.4 + noise(),
          'heater-amps': heater,
          'air-amps': 6,
          'stern-1': (sternFollows ? volts : 121) + noise(),
          'stern-2': (sternFollows ? 120.4 : 121.2) + noise(),
        });
      }
    }
    return play.told.filter((own) => own.startsWith('unused'));
  };

  test('is an emergency where its volts follow the generator’s load', () =>
    expect(onGenerator(true)).toEqual(['unused-inlet-live.stern emergency alarm']));
  test('is a dock that waits where they do not', () => expect(onGenerator(false)).toEqual([]));
});
