/** Generators: idle, overloaded, underloaded, stopped hot; and change-overs under load. */
import { after, changeLoads } from '../../../simulator/scenarios/scenario.ts';
import { neverRaises, raises } from '../truth-case.ts';
import type { TruthCase } from '../truth-case.ts';
import { onGenerator, turn, withoutAir } from './at-the-dock.ts';

export const GENERATOR_CASES: readonly TruthCase[] = [
  {
    id: 'T35',
    title: 'The large generator runs for 12 min and nothing is connected',
    startsAt: '10:00',
    minutes: 22,
    script: [
      after('3:00', { do: 'start', source: 'large-generator' }),
      after('15:00', { do: 'stop', source: 'large-generator' }),
    ],
    must: [
      raises({
        what: 'told at 5 min',
        rule: /^idle-generator/,
        about: /large-generator/,
        at: '3:00',
        notBefore: 295,
        within: 330,
      }),
      neverRaises({ what: 'one alert', most: 1 }),
    ],
    belongs: /^idle-generator/,
  },
  {
    id: 'T37',
    title: 'Changed over under load: SUPPLY turned with 30 A and more flowing',
    startsAt: '16:00',
    minutes: 20,
    mode: 'aboard',
    setUp: (ship) => ({
      ...ship,
      weather: { ...ship.weather, celsiusLow: 28, celsiusHigh: 36 },
      running: ['large-generator'],
    }),
    script: [after('2:00', turn('supply-selector', 'GENERATOR'))],
    must: [
      raises({
        what: 'a remark that it was turned under load',
        rule: /(under-load|turned|change-over|changed-over|switched)/,
        at: '2:00',
        within: 120,
      }),
      neverRaises({ what: 'nothing beyond a caution', priority: 'warning' }),
    ],
    belongs: /(under-load|loaded|turned|change-over|switched|idle-generator|^generator)/,
  },
  {
    id: 'T45',
    title: 'The house bus with 7 kW and more is changed over to the 5 kW set',
    startsAt: '07:30',
    minutes: 20,
    mode: 'aboard',
    setUp: (ship) => {
      const cool = withoutAir(ship);
      const element = (watts: number) => ({ kind: 'steady' as const, watts, isElement: true });
      return {
        ...cool,
        batteries: { 'house-bank': { stateOfCharge: 0.6, ohms: 0.004 } },
        loads: {
          ...cool.loads,
          'water-heater': element(1500),
          'galley-outlets': element(1900),
          'saloon-outlets': element(1700),
          'engine-heater': element(1000),
        },
        positions: { ...cool.positions, open: ['ice-maker', 'trash-press'] },
        running: ['small-generator'],
      };
    },
    script: [after('4:00', turn('house-selector', 'SMALL GENERATOR'))],
    must: [
      raises({
        // The set stalls within seconds: then its stop is what is told, and why.
        what: 'overload within 45 s',
        rule: /^(overload|generator-stopped-hot)$/,
        about: /small-generator/,
        at: '4:00',
        within: 45,
        priority: 'warning',
        says: /overload/i,
      }),
    ],
    belongs:
      /^(overload|low-voltage|generator|standing-order|dead-bus|charger|idle-generator)|under-load/,
  },
  {
    id: 'T46',
    title: 'Three air conditioners start within 2 s on the large set',
    startsAt: '16:00',
    minutes: 15,
    setUp: (ship) => {
      const anchored = onGenerator(ship, 'large-generator');
      const loads = changeLoads(anchored.loads, (load) =>
        load.kind === 'air conditioner' ? { ...load, isOn: false, celsius: 30 } : load,
      );
      return { ...anchored, loads };
    },
    script: ['saloon-air', 'owner-air', 'guest-air'].map((circuit, at) => ({
      atMs: 180_000 + at * 1000,
      action: { do: 'load' as const, circuit, command: { turn: 'on' as const } },
    })),
    must: [neverRaises({ what: 'no alarm: the set recovers', priority: 'alarm' })],
    belongs: /^(overload|generator)/,
  },
  {
    id: 'T49',
    title: 'The large set runs at about a tenth of its load for 60 min',
    startsAt: '10:00',
    minutes: 75,
    setUp: (ship) => {
      const anchored = onGenerator(withoutAir(ship), 'large-generator');
      return { ...anchored, batteries: { 'house-bank': { stateOfCharge: 0.9, ohms: 0.004 } } };
    },
    settleMinutes: 0,
    looseSeconds: 0,
    script: [after('1:00', { do: 'move switch', part: 'water-heater', to: 'open' })],
    must: [
      raises({
        what: 'one caution at 45 to 60 min',
        rule: /underloaded/,
        at: '0:00',
        notBefore: 40 * 60,
        within: 62 * 60,
      }),
      neverRaises({ what: 'once', rule: /underloaded/, most: 1 }),
      neverRaises({ what: 'nothing beyond a caution', priority: 'warning' }),
    ],
    belongs: /^generator/,
  },
  {
    id: 'T50',
    title: 'The small set is stopped at 60 % load',
    startsAt: '10:00',
    minutes: 40,
    mode: 'aboard',
    setUp: (ship) => onGenerator(withoutAir(ship), 'small-generator'),
    script: [
      after('12:00', { do: 'move switch', part: 'water-heater', to: 'open' }),
      after('12:05', { do: 'move switch', part: 'water-heater', to: 'closed' }),
      after('20:00', { do: 'stop', source: 'small-generator' }),
    ],
    must: [
      raises({
        what: 'told within 2 min',
        rule: /hot|cool/,
        at: '20:00',
        within: 120,
      }),
      neverRaises({ what: 'told once', rule: /hot|cool/, most: 1 }),
    ],
    belongs: /hot|cool|^generator|^dead-bus|^battery-low/,
  },
];
