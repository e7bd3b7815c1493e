/** Bilge and fresh water pumps. */
import type { Ship } from '../../../simulator/ships/ship.ts';
import { after, changeLoads } from '../../../simulator/scenarios/scenario.ts';
import type { BilgePumpParameters } from '../../../simulator/physics/loads/water-pumps.ts';
import { neverRaises, raises } from '../truth-case.ts';
import type { TruthCase } from '../truth-case.ts';
import { withoutAir } from './at-the-dock.ts';

const BILGE = /^bilge/;
const HOUR = 60;
const DAY = 24 * HOUR;

const withBilge =
  (change: Partial<BilgePumpParameters>) =>
  (ship: Ship): Ship => ({
    ...ship,
    loads: changeLoads(ship.loads, (load) =>
      load.kind === 'bilge pump' ? { ...load, ...change } : load,
    ),
  });

const leaks = (minutes: number, litresPerHour: number): TruthCase['script'][number] => ({
  atMs: minutes * 60_000,
  action: { do: 'load', circuit: 'bilge-pump', command: { leaks: litresPerHour } },
});

export const PUMP_CASES: readonly TruthCase[] = [
  {
    id: 'T13',
    title: 'A start every six hours for 14 days, then a leak of four starts an hour',
    startsAt: '00:00',
    minutes: 14 * DAY + 16 * HOUR,
    setUp: (ship) => withBilge({ litresPerHour: 1 })(withoutAir(ship)),
    sensorsEveryMs: 5000,
    evaluateEveryMs: 5000,
    script: [leaks(14 * DAY + 12 * HOUR, 24)],
    must: [
      raises({
        what: 'the leak is told within two hours',
        rule: BILGE,
        at: `${14 * DAY + 12 * HOUR}:00`,
        within: 7200,
      }),
      neverRaises({
        what: 'nothing in the 14 days',
        rule: BILGE,
        until: `${14 * DAY + 12 * HOUR}:00`,
      }),
    ],
    belongs: /^(bilge|quiet-drain)/,
    isLong: true,
  },
  {
    id: 'T14',
    title: 'Float switch stuck up: the pump runs on, dry',
    startsAt: '03:00',
    minutes: 20,
    script: [after('3:00', { do: 'load', circuit: 'bilge-pump', command: { float: 'stuck up' } })],
    must: [
      raises({
        what: 'warning at 3 min',
        rule: BILGE,
        at: '3:00',
        notBefore: 170,
        within: 200,
        priority: 'warning',
      }),
      raises({
        what: 'emergency at 10 min',
        rule: BILGE,
        at: '3:00',
        notBefore: 590,
        within: 630,
        priority: 'emergency alarm',
      }),
      raises({
        what: 'says that it probably runs dry',
        rule: BILGE,
        at: '3:00',
        within: 630,
        says: /dry/i,
      }),
      neverRaises({ what: 'one alert', most: 1 }),
    ],
    belongs: BILGE,
  },
  {
    id: 'T15',
    title: 'A rainy day: eight starts over 24 h after two or three a day',
    startsAt: '00:00',
    minutes: 6 * DAY,
    setUp: (ship) => withBilge({ litresPerHour: 0.65 })(withoutAir(ship)),
    sensorsEveryMs: 5000,
    evaluateEveryMs: 5000,
    script: [leaks(5 * DAY, 2)],
    must: [
      neverRaises({ what: 'no alarm, no emergency', rule: BILGE, priority: 'alarm' }),
      neverRaises({ what: 'told at most twice', rule: BILGE, most: 2 }),
    ],
    belongs: /^(bilge|quiet-drain)/,
    isLong: true,
  },
  {
    id: 'T16',
    title: 'Two or three strokes an hour, each doubled by back-flow from the hose',
    startsAt: '09:00',
    minutes: 6 * HOUR,
    setUp: (ship) =>
      withBilge({
        litresPerHour: 9,
        litresOn: 8,
        litresOff: 4,
        backflowLitres: 4.2,
        litresPerMinute: 24,
      })(withoutAir(ship)),
    script: [],
    must: [neverRaises({ what: 'a double stroke counts once', rule: BILGE })],
    belongs: BILGE,
  },
  {
    id: 'T67',
    title: 'A hose is off inside: the fresh water pump runs on, the bilge fills',
    startsAt: '11:00',
    minutes: 30,
    setUp: withoutAir,
    script: [
      after('3:00', { do: 'load', circuit: 'fresh-water-pump', command: { hose: 'off' } }),
      after('3:00', { do: 'load', circuit: 'bilge-pump', command: { leaks: 720 } }),
    ],
    must: [
      raises({
        what: 'alarm that names both within 15 min',
        rule: /^(inside-leak|bilge|fresh-water)/,
        at: '3:00',
        within: 900,
        priority: 'alarm',
        says: /[Bb]ilge/,
      }),
    ],
    belongs: /^(inside-leak|bilge|fresh-water)/,
    // The boat's only fresh water pump has no sensor of its own on Sable Plover.
    changeBoat: (boat) => ({
      ...boat,
      points: new Map([
        ...boat.points,
        [
          'fresh-water-pump-amps',
          {
            ...(boat.points.get('bilge-pump-amps') ?? never()),
            id: 'fresh-water-pump-amps',
            of: 'fresh-water-pump',
            address: { via: 'mqtt', topic: 'panel/water/milliamps' },
          },
        ],
      ]),
    }),
  },
];

function never(): never {
  throw new Error('no bilge pump sensor');
}
