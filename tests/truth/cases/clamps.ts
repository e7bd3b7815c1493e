/** Clamps that are not where the boat file says: found in the running boat, step by step. */
import type { Boat, Circuit, Point } from '../../../rules/index.ts';
import type { TimedAction } from '../../../simulator/action.ts';
import { after, changeLoads } from '../../../simulator/scenarios/scenario.ts';
import type { Ship } from '../../../simulator/ships/ship.ts';
import { raises } from '../truth-case.ts';
import type { Expectation, TruthCase } from '../truth-case.ts';
import { use, withoutAir } from './at-the-dock.ts';

const WRONG = /^contradiction$/;
const HEATER = 'water-heater';
const OUTLETS = 'saloon-outlets';

const pointOf = (boat: Boat, id: string): Point => {
  const point = boat.points.get(id);
  if (point === undefined) throw new Error(`no point ${id}`);
  return point;
};

const withPoints = (boat: Boat, ...points: Point[]): Boat => ({
  ...boat,
  points: new Map([...boat.points, ...points.map((point) => [point.id, point] as const)]),
});

function withCircuit(boat: Boat, id: string, change: Partial<Circuit>): Boat {
  const circuits = boat.circuits.map((own) => (own.id === id ? { ...own, ...change } : own));
  const parts = new Map(boat.parts);
  for (const circuit of circuits) parts.set(circuit.id, circuit);
  return { ...boat, circuits, parts };
}

/** The points of two circuits with their addresses exchanged. */
function exchanged(boat: Boat): Boat {
  const [one, other] = [pointOf(boat, `${HEATER}-amps`), pointOf(boat, `${OUTLETS}-amps`)];
  return withPoints(boat, { ...one, address: other.address }, { ...other, address: one.address });
}

/** Two points that read one channel. */
function doubled(boat: Boat): Boat {
  const [one, other] = [pointOf(boat, `${HEATER}-amps`), pointOf(boat, 'ice-maker-amps')];
  return withPoints(boat, { ...other, address: one.address });
}

function onTheOtherLeg(boat: Boat): Boat {
  const point = pointOf(boat, `${HEATER}-amps`);
  return withPoints(withCircuit(boat, HEATER, { legs: ['L2'] }), { ...point, leg: 'L2' });
}

/** A clamp for the instruments, put on the wrong way round: the wire shows it with its sign turned. */
function withInstruments(boat: Boat, sign: 1 | -1): Boat {
  const bilge = pointOf(boat, 'bilge-pump-amps');
  const address = { via: 'mqtt', topic: 'panel/instruments', pointer: '/a' } as const;
  const point: Point = {
    ...bilge,
    id: 'instruments-amps',
    of: 'instruments',
    unit: 'A',
    sign,
    address,
  };
  return withPoints(boat, point);
}

/** A heater that stays cold enough to be on whenever its breaker is closed. */
function setUp(ship: Ship): Ship {
  const quiet = withoutAir(ship);
  const loads = changeLoads(quiet.loads, (load) =>
    load.kind === 'water heater' ? { ...load, celsius: 20 } : load,
  );
  return {
    ...quiet,
    loads,
    positions: { ...quiet.positions, open: [...quiet.positions.open, HEATER] },
  };
}

/** The heater and the hair dryer, one after the other, again and again. */
const SWITCHED: readonly TimedAction[] = Array.from({ length: 7 }, (_, at) => 2 + at * 4).flatMap(
  (minute) => [
    after(`${minute}:00`, { do: 'move switch', part: HEATER, to: 'closed' }),
    after(`${minute + 1}:00`, { do: 'move switch', part: HEATER, to: 'open' }),
    after(`${minute + 2}:00`, use(OUTLETS, 'hair dryer', 1)),
  ],
);

const named = (what: string, says: RegExp): Expectation =>
  raises({ what, rule: WRONG, at: '0:00', notBefore: -60, within: 30 * 60, says });

const base: Omit<TruthCase, 'id' | 'title' | 'must'> = {
  startsAt: '10:00',
  minutes: 32,
  mode: 'aboard',
  setUp,
  script: SWITCHED,
  // Loads that are switched so often are what those rules are there for.
  belongs:
    /^(contradiction|short-cycling|shared-trips|better-choice|standing-order|sensor-silent)$/,
};

export const CLAMP_CASES: readonly TruthCase[] = [
  {
    ...base,
    id: 'T56a',
    title: 'The clamp of the instruments is the wrong way round',
    changeBoat: (boat) => withInstruments(boat, -1),
    describes: (boat) => withInstruments(boat, 1),
    must: [named('named: reversed', /wrong way round/)],
  },
  {
    ...base,
    id: 'T56b',
    title: 'The clamp of the water heater is said to be on the other leg',
    describes: onTheOtherLeg,
    must: [named('named: wrong leg', /wrong leg/)],
  },
  {
    ...base,
    id: 'T56c',
    title: 'The clamps of the water heater and the saloon outlets are exchanged',
    describes: exchanged,
    must: [named('named: exchanged', /exchanged/)],
  },
  {
    ...base,
    id: 'T56d',
    title: 'Two points read one clamp',
    describes: doubled,
    must: [named('named: reported twice', /reported twice/)],
  },
];
