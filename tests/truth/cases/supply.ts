/** What comes from the dock: volts, neutrals, plugs. */
import type { Boat } from '../../../rules/index.ts';
import { after } from '../../../simulator/scenarios/scenario.ts';
import type { Ship } from '../../../simulator/ships/ship.ts';
import { neverRaises, raises } from '../truth-case.ts';
import type { TruthCase } from '../truth-case.ts';
import { INLET, withPedestal, withoutAir, withoutNeighbours } from './at-the-dock.ts';

const LOW = /^low-voltage/;
const NEUTRAL = /^(loose-neutral|high-voltage)/;
const PLUG = /connection/;
const DAY = 24 * 60;

const dock = (minutes: number, change: object): TruthCase['script'][number] => ({
  atMs: minutes * 60_000,
  action: { do: 'change dock', inlet: INLET, dock: change },
});

const pin = (minutes: number, ohms: number): TruthCase['script'][number] => ({
  atMs: minutes * 60_000,
  action: { do: 'wear pin', inlet: INLET, leg: 'L1', ohms },
});

/** Volts at the inlet hover around 108 with nothing but the dock to move them. */
const HOVERING = Array.from({ length: 45 }, (_, at) =>
  dock(10 + at * 4, { openCircuitVolts: at % 2 === 0 ? 108.2 : 109.4 }),
);

/** A dock that sags far below 108 V each afternoon, for five days. */
const AFTERNOONS = Array.from({ length: 5 }, (_, day) => [
  dock(day * DAY + 15 * 60, { openCircuitVolts: 110 }),
  dock(day * DAY + 18 * 60, { openCircuitVolts: 122 }),
]).flat();

/** One day sound, then from 0 to 0.07 ohm more in two days on the pin of L1. */
const WEARING = Array.from({ length: 49 }, (_, hour) => pin(DAY + hour * 60, (0.07 * hour) / 48));

const LOOSENING = Array.from({ length: 181 }, (_, minute) => ({
  atMs: (5 + minute) * 60_000,
  action: {
    do: 'loosen neutral' as const,
    inlet: INLET,
    ohms: (0.5 * minute) / 180,
  },
}));

const busyDock = (ship: Ship): Ship => withPedestal(ship, { neighboursVolts: 12 });

/** Two heaters on L1 and little on L2, or the same on both. */
function heaters(ship: Ship, onSecond: number): Ship {
  const element = (watts: number) => ({ kind: 'steady' as const, watts, isElement: true });
  const plain = withoutAir(withoutNeighbours(ship));
  return {
    ...plain,
    loads: {
      ...plain.loads,
      'water-heater': element(1500),
      'galley-outlets': element(1500),
      'saloon-outlets': element(onSecond),
    },
    positions: { ...plain.positions, open: [...plain.positions.open, 'battery-charger'] },
  };
}

/** A voltmeter across both legs, which Sable Plover's own boat file does not have. */
function withAcross(boat: Boat): Boat {
  const leg = boat.points.get('bow-l1-volts');
  if (leg?.address.via !== 'mqtt') throw new Error('no point to copy');
  const across = {
    ...leg,
    id: 'bow-across-volts',
    leg: 'L1-L2',
    address: { ...leg.address, pointer: '/across/v' },
  };
  return { ...boat, points: new Map([...boat.points, [across.id, across]]) };
}

/** 130 V, and the 0.4 % that the simulated voltmeters may read too little. */
const HIGH_VOLTS = 130 * 1.004;

const noteHighLeg: NonNullable<TruthCase['look']> = ({ atMs, simulation }, moments) => {
  const legs = simulation.truth().sources.get(INLET)?.legs ?? [];
  if (legs.some(({ volts }) => volts > HIGH_VOLTS) && !moments.has('leg over 130 V')) {
    moments.set('leg over 130 V', atMs / 1000);
  }
};

export const SUPPLY_CASES: readonly TruthCase[] = [
  {
    id: 'T24',
    title: 'A pin on L1 grows from 0.006 to 0.076 ohm in two days, hot dock (needs.md: nine days)',
    startsAt: '00:00',
    minutes: 3 * DAY,
    crew: 'calm',
    setUp: busyDock,
    script: WEARING,
    must: [
      raises({
        what: 'told of leg L1 before the end',
        rule: PLUG,
        at: `${DAY}:00`,
        within: 2 * 86_400,
        says: /L1/,
      }),
      neverRaises({ what: 'nothing on the sound day', rule: PLUG, until: `${DAY}:00` }),
      neverRaises({ what: 'never of leg L2', rule: PLUG, about: /L2/ }),
    ],
    belongs: /connection|^low-voltage|^neutral/,
    isLong: true,
  },
  {
    id: 'T25',
    title: 'The same hot dock with a sound plug',
    startsAt: '00:00',
    minutes: 2 * DAY,
    crew: 'calm',
    setUp: busyDock,
    script: [],
    must: [neverRaises({ what: 'nothing about the plug', rule: PLUG })],
    belongs: LOW,
    isLong: true,
  },
  {
    id: 'T26',
    title: 'Another, longer cord: 39 milliohm more at one stroke',
    startsAt: '00:00',
    minutes: 3 * DAY,
    crew: 'calm',
    script: [
      { atMs: 36 * 3_600_000, action: { do: 'pedestal', inlet: INLET, power: 'off' } },
      dock(36 * 60 + 2, { moreOhms: 0.0195 }),
      { atMs: (36 * 60 + 4) * 60_000, action: { do: 'pedestal', inlet: INLET, power: 'on' } },
    ],
    must: [neverRaises({ what: 'not called a bad plug: no alarm', rule: PLUG, priority: 'alarm' })],
    belongs: /connection|^shore-power-lost/,
    isLong: true,
  },
  {
    id: 'T28',
    title: 'Volts hover around 108 for three hours',
    startsAt: '10:00',
    minutes: 200,
    setUp: (ship) => withoutNeighbours(withoutAir(ship)),
    script: HOVERING,
    must: [
      neverRaises({ what: 'at most one alert an hour', rule: LOW, most: 3 }),
      neverRaises({ what: 'no alarm', rule: LOW, priority: 'alarm' }),
    ],
    belongs: LOW,
  },
  {
    id: 'T42',
    title: '118 V open-circuit that collapse to 60 V under 3 A',
    startsAt: '10:00',
    minutes: 30,
    setUp: (ship) => {
      const plain = withoutNeighbours(withoutAir(ship));
      const open = plain.positions.open;
      const others = ['water-heater', 'battery-charger', 'saloon-outlets', 'refrigerator'];
      const loads = {
        ...plain.loads,
        'galley-outlets': { kind: 'steady', watts: 0, isElement: true },
      };
      return {
        ...plain,
        loads: loads as typeof plain.loads,
        positions: { ...plain.positions, open: [...open, ...others] },
      };
    },
    script: [
      pin(2, 19),
      after('5:00', { do: 'load', circuit: 'galley-outlets', command: { watts: 720 } }),
    ],
    must: [
      raises({
        what: 'a supply without strength, within 2 min',
        rule: /^(weak-supply|low-voltage)/,
        at: '5:00',
        within: 120,
      }),
      raises({
        what: 'told as such, not only as low volts',
        rule: /^weak-supply/,
        at: '5:00',
        within: 120,
      }),
    ],
    belongs: /^(weak-supply|low-voltage|shore-power-lost|charger|loose-neutral)|connection/,
  },
  {
    id: 'T43',
    title: 'A 208 V dock for two days (needs.md: a week)',
    startsAt: '00:00',
    minutes: 2 * DAY,
    crew: 'calm',
    changeBoat: withAcross,
    script: [dock(30, { degreesApart: 120 })],
    must: [
      raises({
        what: 'told within 10 min',
        rule: /^shore-kind/,
        at: '30:00',
        within: 600,
      }),
      neverRaises({ what: 'told once', rule: /^shore-kind/, most: 1 }),
      neverRaises({ what: 'never more than a caution of it', priority: 'warning' }),
    ],
    belongs: /^shore-kind/,
    isLong: true,
  },
  {
    id: 'T44',
    title: 'A sag below 108 V from 15:00 to 18:00 on five days',
    startsAt: '00:00',
    minutes: 5 * DAY,
    setUp: (ship) => withoutAir(ship),
    script: AFTERNOONS,
    sensorsEveryMs: 5000,
    evaluateEveryMs: 5000,
    must: [
      raises({ what: 'told on the first day', rule: LOW, at: `${15 * 60}:00`, within: 3 * 3600 }),
      neverRaises({ what: 'at most one a day', rule: LOW, most: 5 }),
    ],
    belongs: LOW,
    isLong: true,
  },
  {
    id: 'T47',
    title: 'The neutral goes from sound to 0.5 ohm in three hours, legs unequal',
    startsAt: '09:00',
    minutes: 200,
    // With nobody aboard, heaters that run for hours are to be told as left on.
    mode: 'aboard',
    setUp: (ship) => heaters(ship, 300),
    script: LOOSENING,
    look: noteHighLeg,
    must: [
      raises({
        what: 'told before the end',
        rule: NEUTRAL,
        at: '5:00',
        within: 195 * 60,
        priority: 'warning',
      }),
      raises({
        what: 'emergency before a leg passes 130 V, or within 3 s',
        rule: NEUTRAL,
        at: 'leg over 130 V',
        notBefore: -195 * 60,
        within: 3,
        priority: 'emergency alarm',
      }),
    ],
    belongs: /^(loose-neutral|high-voltage|low-voltage)|connection/,
  },
  {
    id: 'T48',
    title: 'The same with equal legs, then a step of 12 A on one',
    startsAt: '09:00',
    minutes: 30,
    setUp: (ship) => {
      const both = heaters(ship, 1500);
      const open = [...both.positions.open, 'water-heater'];
      return { ...both, positions: { ...both.positions, open } };
    },
    script: [
      after('5:00', { do: 'loosen neutral', inlet: INLET, ohms: 0.5 }),
      after('15:00', { do: 'move switch', part: 'water-heater', to: 'closed' }),
    ],
    must: [
      raises({
        what: 'told on the first step, within 15 s',
        rule: NEUTRAL,
        at: '15:00',
        within: 15,
        priority: 'warning',
      }),
    ],
    belongs: /^(loose-neutral|high-voltage|low-voltage)|connection/,
  },
  {
    id: 'N31',
    title: 'A leg rises to 134 V at the dock itself',
    startsAt: '09:00',
    minutes: 20,
    setUp: (ship) => withoutNeighbours(withoutAir(ship)),
    script: [dock(5, { openCircuitVolts: 136 })],
    must: [
      raises({
        what: 'told within 10 s',
        rule: /^high-voltage/,
        at: '5:00',
        within: 10,
        priority: 'alarm',
      }),
    ],
    belongs: NEUTRAL,
  },
];
