/**
 * What is said to fit never overloads anything in the simulator, which has physics of its own: a
 * boat in a random state is looked at, a load that is said to fit is switched on in the same boat
 * with the same seed, and source, bus and breakers are followed for three minutes. `RUNS=200` plays
 * more of them.
 */
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { loadPlan } from '../../../rules/index.ts';
import type { Boat, LoadAnswer, LoadPlan } from '../../../rules/index.ts';
import type { VesselAction } from '../../../simulator/action.ts';
import type { LoadCommand } from '../../../simulator/physics/loads/load.ts';
import { scenarioNamed } from '../../../simulator/scenarios/index.ts';
import type { Scenario } from '../../../simulator/scenarios/scenario.ts';
import { shipOf } from '../../../simulator/ships/index.ts';
import { createSimulation } from '../../../simulator/simulation.ts';
import { loadDemoBoat } from '../../scenarios/stage.ts';
import { runFast } from '../../truth/run-fast.ts';

const RUNS = Number(process.env['RUNS'] ?? 12);
const LOOK_MS = 60_000;
const FOLLOW_MS = 180_000;
/** A motor's start is no overload; more than this long is. */
const OVERLOAD_SECONDS = 3;

interface Setting {
  name: 'overload-at-breakfast' | 'quiet-day' | 'quiet-day-canal';
  /** Rating of the shore inlets, so that limits come near. */
  inletAmps: number;
  startsAt: string;
  seed: number;
  on: readonly number[];
  which: number;
}

/** How a person switches on what does not run by its own breaker. */
const COMMANDS: Readonly<Record<string, LoadCommand>> = {
  cooker: { use: 'plates', seconds: 600 },
  laundry: { turn: 'on' },
  'washing-machine': { turn: 'on' },
  'saloon-air': { turn: 'on' },
  'owner-air': { turn: 'on' },
  'guest-air': { turn: 'on' },
};

function boatFor({ name, inletAmps }: Setting): Boat {
  const boat = loadDemoBoat(scenarioNamed(name)?.boatName ?? 'Sable Plover');
  const rated = <T extends { id: string }>(part: T): T =>
    'kind' in part && part.kind === 'shore inlet' ? { ...part, ampsRated: inletAmps } : part;
  return {
    ...boat,
    sources: boat.sources.map(rated),
    parts: new Map([...boat.parts].map(([id, part]) => [id, rated(part)])),
  };
}

/** Some loads already run when somebody looks. */
function scenarioFor({ name, startsAt, on }: Setting, then: readonly VesselAction[]): Scenario {
  const scenario = scenarioNamed(name);
  if (!scenario) throw new Error(name);
  const galley = name === 'quiet-day-canal' ? 'sockets' : 'galley-outlets';
  const uses = ['kettle', 'toaster', 'microwave'];
  const before = on.map((index) => ({
    atMs: 5000,
    action: {
      do: 'load',
      circuit: galley,
      command: { use: uses[index] ?? '', seconds: 3600 },
    } as const,
  }));
  const later = then.map((action) => ({ atMs: LOOK_MS + 1000, action }));
  return { ...scenario, startsAt, crew: 'away', settleMinutes: 10, script: [...before, ...later] };
}

function planFor(setting: Setting, boat: Boat): LoadPlan {
  const scenario = scenarioFor(setting, []);
  const ship = shipOf(boat.name);
  if (!ship) throw new Error(boat.name);
  let plan: LoadPlan | null = null;
  const { seed } = setting;
  runFast({
    boat,
    ship,
    scenario,
    seed,
    evaluateEveryMs: 2000,
    untilMs: LOOK_MS,
    look: ({ atMs, panel }) => {
      if (atMs === LOOK_MS) plan = loadPlan(boat, panel);
    },
  });
  if (plan === null) throw new Error('Nobody looked.');
  return plan;
}

function switchOn({ circuit, appliance, ifOff, first }: LoadAnswer): VesselAction[] {
  const off = ifOff.map((part): VesselAction => ({ do: 'move switch', part, to: 'open' }));
  const closed = [...first, circuit].map((part): VesselAction => ({
    do: 'move switch',
    part,
    to: 'closed',
  }));
  const command =
    appliance === null ? COMMANDS[circuit] : { use: appliance.toLowerCase(), seconds: 600 };
  return command ? [...off, ...closed, { do: 'load', circuit, command }] : [...off, ...closed];
}

/** Overloads and trips that are there with the load and would not be without it. */
function troubles(setting: Setting, boat: Boat, answer: LoadAnswer): string[] {
  const before = follow(setting, boat, answer, []);
  const after = follow(setting, boat, answer, switchOn(answer));
  return after.filter((trouble) => !before.includes(trouble));
}

/** Every part that is overloaded or trips after the look. */
function follow(
  setting: Setting,
  boat: Boat,
  answer: LoadAnswer,
  then: readonly VesselAction[],
): string[] {
  const scenario = scenarioFor(setting, then);
  const ship = shipOf(boat.name);
  if (!ship) throw new Error(boat.name);
  const simulation = createSimulation({ boat, ship, scenario, seed: setting.seed });
  const started = boat.circuits.filter(
    ({ id }) => id === answer.circuit || answer.first.includes(id),
  );
  // A leg that it does not load is none of its business.
  const legs = new Set(started.flatMap((circuit) => circuit.legs));
  const seconds = new Map<string, number>();
  const found = new Set<string>();
  const look = (name: string, amps: number, rated: number | undefined): void => {
    const over = rated !== undefined && amps > rated ? (seconds.get(name) ?? 0) + 1 : 0;
    seconds.set(name, over);
    if (over > OVERLOAD_SECONDS) found.add(`${name} carries more than ${rated} A`);
  };
  for (let atMs = LOOK_MS + 1000; atMs <= LOOK_MS + FOLLOW_MS; atMs += 1000) {
    simulation.step(atMs);
    const truth = simulation.truth();
    for (const { id, ampsRated } of boat.sources) {
      for (const { leg, amps } of truth.sources.get(id)?.legs ?? []) {
        if (legs.has(leg)) look(`${id} ${leg}`, amps, ampsRated);
      }
    }
    for (const { id, ampsRated } of boat.buses) {
      for (const { leg, amps } of truth.buses.get(id)?.legs ?? []) {
        if (legs.has(leg)) look(`${id} ${leg}`, amps, ampsRated);
      }
    }
    const own = truth.circuits.get(answer.circuit);
    const breaker = boat.circuits.find(({ id }) => id === answer.circuit)?.breaker;
    look(answer.circuit, own?.amps ?? 0, breaker?.ampsRated);
    for (const [id, { breaker: contact }] of truth.circuits) {
      if (contact === 'tripped') found.add(`${id} tripped`);
    }
    for (const [id, contact] of truth.mainSwitches) {
      if (contact === 'tripped') found.add(`${id} tripped`);
    }
  }
  return [...found];
}

const settings: fc.Arbitrary<Setting> = fc.record({
  name: fc.constantFrom('overload-at-breakfast', 'quiet-day', 'quiet-day-canal'),
  inletAmps: fc.constantFrom(16, 20, 30, 50),
  startsAt: fc.constantFrom('03:10', '07:40', '12:30', '15:20', '18:45'),
  seed: fc.integer({ min: 1, max: 10_000 }),
  on: fc.subarray([0, 1, 2], { maxLength: 2 }),
  which: fc.nat(1000),
});

it(
  'what fits, alone or with others off, overloads nothing',
  () => {
    let played = 0;
    fc.assert(
      fc.property(settings, (setting) => {
        const boat = boatFor(setting);
        const { answers } = planFor(setting, boat);
        const fitting = answers.filter(({ verdict }) => verdict.startsWith('fits'));
        const answer = fitting[setting.which % Math.max(1, fitting.length)];
        if (!answer) return;
        played += 1;
        expect(
          troubles(setting, boat, answer),
          `${answer.label}: ${answer.verdict} ${answer.ifOff.join()}`,
        ).toEqual([]);
      }),
      { numRuns: RUNS, endOnFailure: true },
    );
    // Otherwise this would prove nothing.
    expect(played).toBeGreaterThan(RUNS / 3);
  },
  60_000 + RUNS * 10_000,
);
