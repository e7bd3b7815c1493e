/** Overloads, cooling water, and work in progress. */
import type { Boat } from '../../../rules/index.ts';
import type { Ship } from '../../../simulator/ships/ship.ts';
import { after, changeLoads } from '../../../simulator/scenarios/scenario.ts';
import { neverRaises, raises } from '../truth-case.ts';
import type { Expectation, Played, TruthCase } from '../truth-case.ts';
import { INLET, use, withPedestal, withoutAir } from './at-the-dock.ts';

const OVERLOAD = /^overload$/;
const COOLING = /prerequisite|cooling|shared-trips|short-(trips|cycl)/;

/** The pump turns and yet there is too little water. */
const WEAK_WATER = /^(shared-trips|prerequisite-weak|weak-prerequisite|cooling)/;

/** A 50 A inlet on a 30 A adapter: its breaker at the post is the limit. */
function onAdapter(boat: Boat): Boat {
  const sources = boat.sources.map((source) =>
    source.id === INLET ? { ...source, ampsRated: 30 } : source,
  );
  const inlet = sources.find(({ id }) => id === INLET);
  if (inlet === undefined) throw new Error('no inlet');
  return { ...boat, sources, parts: new Map([...boat.parts, [INLET, inlet]]) };
}

const isOff = (ship: Ship): Ship => ({
  ...ship,
  loads: changeLoads(ship.loads, (load) =>
    load.kind === 'air conditioner' ? { ...load, isOn: false, celsius: 29 } : load,
  ),
});

const hot = (ship: Ship): Ship => ({
  ...ship,
  weather: { ...ship.weather, celsiusLow: 28, celsiusHigh: 36, cloudRatio: 0 },
});

/** The dock's breaker trips at this moment, by the truth. */
const noteTrip: NonNullable<TruthCase['look']> = ({ atMs, simulation }, moments) => {
  const volts = simulation.truth().sources.get(INLET)?.legs[0]?.volts ?? 0;
  if (volts < 10 && !moments.has('trip')) moments.set('trip', atMs / 1000);
};

const warnedBeforeTrip: Expectation = {
  what: 'told before the trip, with the water heater by name',
  needs: OVERLOAD,
  judge: ({ told, moments }: Played) => {
    const trip = moments.get('trip') ?? Infinity;
    const first = told.find(
      ({ type, event: { alert } }) =>
        type === 'raised' &&
        OVERLOAD.test(alert.rule) &&
        /[Ww]ater heater/.test(`${alert.means} ${alert.doThis}`),
    );
    const isMet = first !== undefined && first.atSeconds < trip;
    const leadSeconds = Number.isFinite(trip) && first ? trip - first.atSeconds : null;
    return { isMet, delaySeconds: leadSeconds };
  },
};

const DAY_MS = 86_400_000;

/** From clean to 44 % of the flow over six days: pump watts -25 %, amps -6 %, compressors +9 %. */
const CLOGGING = Array.from({ length: 6 * 24 + 1 }, (_, hour) => ({
  atMs: 3 * DAY_MS + hour * 3_600_000,
  action: {
    do: 'load' as const,
    circuit: 'raw-water-pump',
    command: { flowRatio: 1 - (0.56 * hour) / 144 },
  },
}));

export const LOAD_CASES: readonly TruthCase[] = [
  {
    id: 'T22',
    title: 'Breakfast on a 30 A adapter: heater, air conditioner, toaster and more on one leg',
    startsAt: '07:30',
    minutes: 60,
    changeBoat: onAdapter,
    setUp: (ship) => {
      const warm = hot(withPedestal(ship, { breaker: { ampsRated: 30, kind: 'UL 489' } }));
      return {
        ...warm,
        loads: changeLoads(warm.loads, (load) => {
          if (load.kind === 'water heater') return { ...load, celsius: 20 };
          return load.kind === 'air conditioner' ? { ...load, celsius: 30 } : load;
        }),
      };
    },
    settleMinutes: 5,
    script: [
      after('10:00', use('galley-outlets', 'coffee maker', 25)),
      after('11:00', use('galley-outlets', 'toaster', 20)),
    ],
    look: noteTrip,
    must: [warnedBeforeTrip],
    belongs: /^(overload|shore-power-lost|low-voltage)$/,
  },
  {
    id: 'T23',
    title: 'A steady 39 A on a 50 A leg for six hours',
    startsAt: '09:00',
    minutes: 7 * 60,
    // With nobody aboard, heaters that run for hours are to be told as left on.
    mode: 'aboard',
    setUp: (ship) => {
      const plain = withoutAir(ship);
      const element = (watts: number) => ({ kind: 'steady' as const, watts, isElement: true });
      // Two elements on L2 beside the charger and the refrigerator.
      const loads = { ...plain.loads, 'engine-heater': element(1560), 'trash-press': element(0) };
      return {
        ...plain,
        loads: { ...loads, 'owner-air': element(2160), 'saloon-outlets': element(1000) },
        positions: { ...plain.positions, open: ['ice-maker', 'trash-press', 'battery-charger'] },
      };
    },
    script: [],
    must: [
      neverRaises({ what: 'no nuisance about the shore inlet', about: /bow-inlet/, most: 1 }),
      neverRaises({
        what: 'nothing beyond a caution about the shore inlet',
        about: /bow-inlet/,
        priority: 'warning',
      }),
    ],
    // The elements stand on circuits that should be off or hold less: that is another matter.
    belongs: /^(overload|standing-order|missing-prerequisite|charger|low-voltage)/,
  },
  {
    id: 'T29',
    title: 'An electrician flips breakers for two hours, work in progress',
    startsAt: '09:00',
    minutes: 150,
    mode: 'aboard',
    steps: [
      {
        atMs: 0,
        act: (watch, nowMs) =>
          void watch.setMode('work in progress', nowMs + 7_200_000, 'truth', nowMs),
      },
    ],
    script: Array.from({ length: 20 }, (_, at) => ({
      atMs: (3 + at * 5) * 60_000,
      action: {
        do: 'move switch' as const,
        part: ['house-main', 'battery-charger', 'raw-water-pump', 'climate-main'][at % 4] ?? '',
        to: Math.floor(at / 4) % 2 === 0 ? ('open' as const) : ('closed' as const),
      },
    })),
    must: [
      {
        what: 'nothing of those two hours would leave the boat',
        judge: ({ told, looseSeconds }) => {
          const outside = told.filter(
            ({ type, atSeconds, event }) =>
              type === 'raised' &&
              atSeconds < 7200 + looseSeconds &&
              event.alert.mode !== 'work in progress',
          );
          return { isMet: outside.length === 0, delaySeconds: null };
        },
      },
      {
        what: 'the mode ends by itself',
        judge: ({ panelEvents }) => {
          const ends = panelEvents.find(({ event }) => event.type === 'mode changed');
          return { isMet: ends !== undefined, delaySeconds: null };
        },
      },
    ],
    belongs: /./,
  },
  {
    id: 'T31',
    title: 'A guest switches an air conditioner on; the pump’s breaker is open',
    startsAt: '15:00',
    minutes: 20,
    setUp: (ship) => {
      const warm = isOff(ship);
      const open = [...warm.positions.open, 'raw-water-pump'];
      return { ...warm, positions: { ...warm.positions, open } };
    },
    script: [after('3:00', { do: 'load', circuit: 'guest-air', command: { turn: 'on' } })],
    look: ({ atMs, simulation }, moments) => {
      const amps = simulation.truth().circuits.get('guest-air')?.amps ?? 0;
      if (amps > 4 && !moments.has('compressor')) moments.set('compressor', atMs / 1000);
    },
    must: [
      raises({
        what: 'alarm within 30 s of the compressor’s start',
        rule: /^missing-prerequisite/,
        at: 'compressor',
        within: 30,
        priority: 'alarm',
        says: /[Pp]ump/,
      }),
      neverRaises({ what: 'one alert, though the unit tries again', most: 1, areDistinct: true }),
    ],
    belongs: COOLING,
  },
  {
    id: 'T32',
    title: 'The strainer clogs over six days: pump amps -6 %, compressors +9 %',
    startsAt: '00:00',
    minutes: 9 * 24 * 60,
    setUp: hot,
    script: CLOGGING,
    crew: 'calm',
    sensorsEveryMs: 5000,
    evaluateEveryMs: 5000,
    must: [
      raises({
        what: 'told by the sixth day, from currents alone',
        rule: WEAK_WATER,
        at: `${3 * 1440}:00`,
        notBefore: 86_400,
        within: 6 * 86_400,
      }),
    ],
    belongs: COOLING,
    isLong: true,
  },
  {
    id: 'T33',
    title: 'Sea cock closed: the pump turns, no water comes, every unit cuts out',
    startsAt: '15:00',
    minutes: 40,
    setUp: hot,
    script: [after('5:00', { do: 'load', circuit: 'raw-water-pump', command: { flowRatio: 0 } })],
    must: [
      raises({
        what: 'shared water, not single units, within 20 min',
        rule: WEAK_WATER,
        at: '5:00',
        within: 1200,
        says: /water/i,
      }),
      neverRaises({ what: 'no more than two alerts of it', most: 2 }),
    ],
    belongs: COOLING,
  },
];
