/** Batteries and what charges them. */
import { after } from '../../../simulator/scenarios/scenario.ts';
import { neverRaises, raises } from '../truth-case.ts';
import type { Expectation, Played, TruthCase } from '../truth-case.ts';
import { atAnchor, turn, withoutAir } from './at-the-dock.ts';

/** Between two looks a quarter of an hour apart, over a night. */
const steadyForecast: Expectation = {
  what: 'hours left never move by more than 25 % in a quarter of an hour',
  judge: ({ moments }: Played) => {
    const worst = moments.get('worst swing');
    return { isMet: worst !== undefined && worst <= 0.25, delaySeconds: null };
  },
};

const QUARTER_MS = 15 * 60_000;
const SETTLED_MS = 2 * 3_600_000;

const watchHours: NonNullable<TruthCase['look']> = ({ atMs, panel }, moments) => {
  if (atMs % QUARTER_MS !== 0 || atMs < SETTLED_MS) return;
  const left = panel.batteries[0]?.hoursLeft;
  if (left === undefined || left === null) return;
  // As it is said: the low end of the range is what people plan by. What passed was to be expected.
  const before = moments.get('hours before');
  moments.set('hours before', left.low);
  if (before === undefined || before < 1) return;
  const swing = Math.abs(left.low - (before - 0.25)) / before;
  moments.set('worst swing', Math.max(swing, moments.get('worst swing') ?? 0));
};

export const BATTERY_CASES: readonly TruthCase[] = [
  {
    id: 'T17',
    title: 'A night at anchor: the galley and its fridge on the inverter',
    boat: 'willow-dipper',
    startsAt: '21:00',
    // Before sunrise: what the roof panels give is another matter.
    minutes: 8 * 60,
    setUp: (ship) => ({
      ...ship,
      batteries: { 'service-bank': { stateOfCharge: 0.8, ohms: 0.007 } },
      positions: { ...ship.positions, selectors: { supply: 'INVERTER' }, open: ['immersion'] },
      sources: {
        ...ship.sources,
        shore: { ...(ship.sources['shore'] ?? missing()), hasCord: false } as never,
      },
      running: ['inverter'],
    }),
    script: [],
    look: watchHours,
    must: [steadyForecast],
    belongs: /^(shore-power-lost|battery-low|dead-bus|inverter-heavy|charger-off)$/,
  },
  {
    id: 'T20',
    title: 'The charger’s breaker is left off after a change-over',
    startsAt: '18:30',
    minutes: 60,
    setUp: (ship) => ({
      ...withoutAir(ship),
      batteries: { 'house-bank': { stateOfCharge: 0.75, ohms: 0.004 } },
      running: ['large-generator'],
      positions: {
        ...ship.positions,
        selectors: { ...ship.positions.selectors, 'supply-selector': 'GENERATOR' },
      },
    }),
    script: [
      after('8:00', { do: 'move switch', part: 'battery-charger', to: 'open' }),
      after('10:00', turn('supply-selector', 'OFF')),
      after('10:10', turn('supply-selector', 'SHORE')),
      after('14:00', { do: 'stop', source: 'large-generator' }),
    ],
    must: [
      raises({
        what: 'told in 10 to 20 min',
        rule: /^(charger|standing-order)/,
        at: '10:10',
        notBefore: 300,
        within: 1200,
        says: /[Cc]harger/,
      }),
      neverRaises({ what: 'one alert', rule: /^(charger|standing-order)/, most: 1 }),
    ],
    belongs: /^(charger|standing-order|battery-low|generator)/,
  },
  {
    id: 'T21',
    title: 'The charger is stuck at 15.8 V',
    startsAt: '10:00',
    minutes: 50,
    setUp: withoutAir,
    script: [
      after('5:00', { do: 'load', circuit: 'battery-charger', command: { holdsVolts: 15.8 } }),
    ],
    must: [
      raises({
        what: 'alarm by 15 to 20 min',
        rule: /^overcharge/,
        at: 'above 15 V',
        notBefore: 840,
        within: 1200,
        priority: 'alarm',
      }),
    ],
    look: ({ atMs, simulation }, moments) => {
      const volts = simulation.truth().batteries.get('house-bank')?.volts ?? 0;
      if (volts > 15 && !moments.has('above 15 V')) moments.set('above 15 V', atMs / 1000);
    },
    belongs: /^overcharge/,
  },
  {
    id: 'T21b',
    title: 'The same while work is in progress: the bank is being equalised',
    startsAt: '10:00',
    minutes: 50,
    setUp: withoutAir,
    mode: 'aboard',
    steps: [
      {
        atMs: 0,
        act: (watch, nowMs) =>
          void watch.setMode('work in progress', nowMs + 3 * 3_600_000, 'truth', nowMs),
      },
    ],
    script: [
      after('5:00', { do: 'load', circuit: 'battery-charger', command: { holdsVolts: 15.8 } }),
    ],
    must: [neverRaises({ what: 'no alert', rule: /^overcharge/ })],
    belongs: /^overcharge/,
  },
  {
    id: 'N06',
    title: 'The charger draws its idle watts and gives nothing',
    startsAt: '10:00',
    minutes: 70,
    setUp: (ship) => ({
      ...withoutAir(ship),
      batteries: { 'house-bank': { stateOfCharge: 0.75, ohms: 0.004 } },
      sources: {
        ...ship.sources,
        'solar-arch': { ...(ship.sources['solar-arch'] ?? missing()) },
      },
      weather: { ...ship.weather, cloudRatio: 0.95 },
    }),
    script: [
      after('8:00', { do: 'load', circuit: 'battery-charger', command: { output: 'failed' } }),
    ],
    must: [raises({ what: 'told within 30 min', rule: /^charger/, at: '8:00', within: 1800 })],
    belongs: /^(charger|battery-low)/,
  },
  {
    id: 'N05',
    title: 'At anchor with the bank nearly at half: the hours are told before they are over',
    startsAt: '22:00',
    minutes: 6 * 60,
    setUp: (ship) => {
      const anchored = atAnchor(withoutAir(ship), 0.56);
      const loads = {
        ...anchored.loads,
        instruments: { kind: 'steady', watts: 110, isElement: false },
      };
      return { ...anchored, loads: loads as typeof anchored.loads };
    },
    script: [],
    must: [
      raises({
        what: 'told at least an hour before half',
        rule: /^battery-low/,
        at: '0:00',
        within: 4 * 3600,
        priority: 'warning',
      }),
    ],
    belongs: /^(battery-low|shore-power-lost|charger-off)/,
  },
];

function missing(): never {
  throw new Error('no such source');
}
