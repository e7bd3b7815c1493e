/** What a bank holds, and what is counted of it, over days. */
import type { Boat } from '../../../rules/index.ts';
import { EVERYDAY_SENSORS } from '../../../simulator/sensors/sensor-faults.ts';
import { after } from '../../../simulator/scenarios/scenario.ts';
import type { Ship } from '../../../simulator/ships/ship.ts';
import type { Look } from '../run-fast.ts';
import { neverRaises, raises } from '../truth-case.ts';
import type { Expectation, TruthCase } from '../truth-case.ts';
import { INLET, withoutAir } from './at-the-dock.ts';

const BANK = 'house-bank';
const EVERY_MS = 10_000;
const MINUTE_MS = 60_000;

/** So much of the rating is left. */
const AGED_RATIO = 0.6;

const withBank = (ship: Ship, stateOfCharge: number, capacityRatio: number): Ship => ({
  ...withoutAir(ship),
  weather: { ...withoutAir(ship).weather, cloudRatio: 0.95 },
  batteries: { [BANK]: { stateOfCharge, ohms: 0.004, capacityRatio } },
});

/** No monitor tells the state of charge: what is shown is counted from the shunt. */
const withoutMonitor = (boat: Boat): Boat => ({
  ...boat,
  points: new Map([...boat.points].filter(([id]) => id !== 'house-bank-charge')),
});

/** Lights and instruments draw about 29 A in all, or 3 A. */
const draws = (minute: number, [lights, instruments]: readonly [number, number]) => [
  after(`${minute}:00`, { do: 'load', circuit: 'cabin-lights', command: { watts: lights } }),
  after(`${minute}:00`, { do: 'load', circuit: 'instruments', command: { watts: instruments } }),
];
const MUCH = [200, 150] as const;
const LITTLE = [6, 32] as const;

const leaves = (minute: number): TruthCase['script'] => [
  after(`${minute}:00`, { do: 'pedestal', inlet: INLET, power: 'off' }),
];

/** An evening at anchor from `minute` on: seven hours of a heavy load, then a quiet night. */
const evening = (minute: number): TruthCase['script'] => [
  ...leaves(minute),
  ...draws(minute, MUCH),
  ...draws(minute + 420, LITTLE),
];

const morning = (minute: number): TruthCase['script'] => [
  after(`${minute}:00`, { do: 'pedestal', inlet: INLET, power: 'on' }),
];

const [FIRST, SECOND, THIRD] = [360, 1800, 3240] as const;
const ASKED_MS = (THIRD + 180) * MINUTE_MS;

/** Learned capacity, the hours left that were told on the third evening, and when they were over. */
function watchCapacity({ atMs, panel, simulation }: Look, moments: Map<string, number>): void {
  const own = panel.batteries.find(({ id }) => id === BANK);
  const learned = own?.learnedCapacity ?? null;
  if (learned !== null) moments.set('learned Ah', learned.ampHours);
  if (atMs < ASKED_MS) return;
  const left = own?.hoursLeft ?? null;
  if (left !== null && !moments.has('asked')) {
    moments.set('asked', atMs / 1000);
    moments.set('hours at least', left.low);
    moments.set('hours at most', left.high);
  }
  const charge = simulation.truth().batteries.get(BANK)?.stateOfCharge ?? 1;
  if (charge <= 0.5 && !moments.has('half')) moments.set('half', atMs / 1000);
}

const near = (value: number | undefined, truth: number, ratio: number): boolean =>
  value !== undefined && Math.abs(value - truth) <= ratio * truth;

const learnsTruth: Expectation = {
  what: 'what it learns is within 15 % of what the bank truly holds',
  judge: ({ moments }) => ({
    isMet: near(moments.get('learned Ah'), AGED_RATIO * 600, 0.15),
    delaySeconds: null,
  }),
};

const foretellsHalf: Expectation = {
  what: 'the true time to half lies within the hours told',
  judge: ({ moments }) => {
    const [half, asked] = [moments.get('half'), moments.get('asked')];
    const [least = NaN, most = NaN] = [moments.get('hours at least'), moments.get('hours at most')];
    if (half === undefined || asked === undefined) return { isMet: false, delaySeconds: null };
    const hours = (half - asked) / 3600;
    return { isMet: least <= hours && hours <= most, delaySeconds: null };
  },
};

const aged: Omit<TruthCase, 'id' | 'title'> = {
  startsAt: '12:00',
  minutes: THIRD + 480,
  setUp: (ship) => withBank(ship, 0.85, AGED_RATIO),
  sensorsEveryMs: EVERY_MS,
  evaluateEveryMs: EVERY_MS,
  script: [
    ...evening(FIRST),
    ...morning(FIRST + 660),
    ...evening(SECOND),
    ...morning(SECOND + 660),
    // So that its usual drain is known by the evening.
    ...draws(THIRD - 300, MUCH),
    ...leaves(THIRD),
  ],
  look: watchCapacity,
  must: [
    neverRaises({ what: 'not from one discharge', rule: /^bank-worn/, until: `${SECOND}:00` }),
    raises({
      what: 'told in the night of the second',
      rule: /^bank-worn/,
      at: `${SECOND + 420}:00`,
      within: 4 * 3600,
      says: /less than its rated 600 Ah/,
    }),
    learnsTruth,
    foretellsHalf,
  ],
  belongs: /^(bank-worn|shore-power-lost|shore-blinks|battery-low|charger-off|dead-bus|left-on)$/,
  isLong: true,
};

/** How far the state of charge that is shown is from the true one, and how often it is shown. */
function watchCount({ atMs, panel, simulation }: Look, moments: Map<string, number>): void {
  const shown = panel.batteries.find(({ id }) => id === BANK)?.stateOfCharge.value ?? null;
  if (atMs < 3_600_000) return;
  moments.set('looks', (moments.get('looks') ?? 0) + 1);
  if (shown === null) return;
  const truth = simulation.truth().batteries.get(BANK)?.stateOfCharge ?? NaN;
  moments.set('shown', (moments.get('shown') ?? 0) + 1);
  moments.set('worst', Math.max(moments.get('worst') ?? 0, Math.abs(shown - truth)));
}

const MINUTES_OF_TEN_DAYS = 10 * 1440;

export const AGEING_CASES: readonly TruthCase[] = [
  {
    id: 'T18',
    title: 'A shunt reads 0.25 A too much for ten days on shore, nothing else tells the charge',
    changeBoat: withoutMonitor,
    startsAt: '12:00',
    minutes: MINUTES_OF_TEN_DAYS,
    crew: 'calm',
    // Somewhere to count from: a full charge is seen on the first day.
    setUp: (ship) => ({ ...ship, batteries: { [BANK]: { stateOfCharge: 0.9, ohms: 0.004 } } }),
    faults: { ...EVERYDAY_SENSORS, shuntOffsetAmps: 0.25 },
    sensorsEveryMs: EVERY_MS,
    evaluateEveryMs: EVERY_MS,
    script: [],
    look: watchCount,
    must: [
      {
        what: 'state of charge never more than 5 % from the truth',
        judge: ({ moments }) => ({
          isMet: (moments.get('worst') ?? Infinity) <= 0.05,
          delaySeconds: null,
        }),
      },
      {
        what: 'and shown in nine looks of ten',
        judge: ({ moments }) => ({
          isMet: (moments.get('shown') ?? 0) >= 0.9 * (moments.get('looks') ?? Infinity),
          delaySeconds: null,
        }),
      },
    ],
    // What else is told on ordinary days is judged by the healthy days.
    belongs: /^(sensor-silent|changed-under-load|better-choice)$/,
    isLong: true,
  },
  { ...aged, id: 'T19', title: 'A bank has aged to 60 %, and its monitor does not know' },
  {
    ...aged,
    id: 'T19b',
    title: 'A bank has aged to 60 %, and only a shunt and its volts are read',
    changeBoat: withoutMonitor,
  },
  {
    ...aged,
    id: 'T19c',
    title: 'The same evenings with a sound bank',
    setUp: (ship) => withBank(ship, 0.85, 1),
    must: [neverRaises({ what: 'never called worn', rule: /^bank-worn/ })],
  },
];
