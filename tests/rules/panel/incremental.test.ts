/**
 * The panel works out again only what a reading, a silence or the time has changed. Whatever comes,
 * it must say what a panel says that starts anew with the same readings and the same past.
 */
import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readBoat } from '../../../rules/index.ts';
import type { Boat, PanelState, Point } from '../../../rules/index.ts';
import { Latest } from '../../../rules/panel/latest.ts';
import { Panel } from '../../../rules/panel/panel.ts';
import { copyPast, emptyPast, noteChanges } from '../../../rules/panel/past.ts';
import { randomBoat, seeded } from './random-boats.ts';

type State = Omit<PanelState, 'mode'>;

const START_MS = 1_700_000_000_000;
const SEED = Math.floor(Math.random() * 2 ** 31);

/** What may happen before an evaluation, with numbers 0..1 that choose where and what. */
type Happening =
  | { kind: 'reading'; at: number; value: number; lateMs: number }
  | { kind: 'replayed'; at: number; value: number; lateMs: number }
  | { kind: 'silence'; at: number }
  | { kind: 'word'; at: number; value: number };

interface Step {
  /** Since the evaluation before. */
  passedMs: number;
  happenings: Happening[];
}

const share = fc.double({ min: 0, max: 1, noNaN: true, maxExcluded: true });
// Negative: a reading from the future, as of a clock that runs ahead.
const lateMs = fc.oneof(fc.constant(0), fc.integer({ min: -3000, max: 20_000 }));

const HAPPENING: fc.Arbitrary<Happening> = fc.oneof(
  {
    weight: 10,
    arbitrary: fc.record({ kind: fc.constant('reading'), at: share, value: share, lateMs }),
  },
  {
    weight: 1,
    arbitrary: fc.record({ kind: fc.constant('replayed'), at: share, value: share, lateMs }),
  },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant('silence'), at: share }) },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant('word'), at: share, value: share }) },
);

/** Mostly a second; now and then so long that readings go stale, to the millisecond. */
const PASSED = fc.oneof(
  { weight: 6, arbitrary: fc.constant(1000) },
  { weight: 2, arbitrary: fc.constantFrom(0, 1, 5000, 9999, 10_000, 10_001) },
  { weight: 1, arbitrary: fc.integer({ min: 0, max: 40_000 }) },
);

const STEPS = fc.array(
  fc.record({ passedMs: PASSED, happenings: fc.array(HAPPENING, { maxLength: 5 }) }),
  { minLength: 5, maxLength: 40 },
);

const pick = <T>(all: readonly T[], at: number): T | undefined => all[Math.floor(at * all.length)];

/** Some value that such a sensor might send, often one of a few, so that things fit now and then. */
function valueOf(boat: Boat, point: Point, chance: number): number | string {
  const part = boat.parts.get(point.of);
  if (part?.part === 'selector') return pick([...part.positions.keys()], chance) ?? '';
  if (point.quantity === 'switch') return pick(['closed', 'open', 'tripped'], chance) ?? '';
  if (point.quantity === 'volts') {
    const nominal = part?.system === 'dc' ? (boat.dc?.volts ?? 12) : (boat.ac?.volts ?? 120);
    return (pick([0, 0.3, 0.97, 1, 1.02], chance) ?? 0) * nominal;
  }
  if (point.quantity === 'watts') return Math.round(chance * 3000) - 100;
  if (point.quantity === 'amps' && part?.part === 'circuit') return chance < 0.3 ? 0 : chance * 9;
  if (point.quantity === 'amps') return chance < 0.2 ? 0 : Math.round(chance * 90) - 20;
  return Math.round(chance * 60);
}

/** One panel that goes on from evaluation to evaluation, and the one that starts anew each time. */
class Pair {
  readonly #boat: Boat;
  readonly #latest: Latest;
  readonly #past = emptyPast();
  readonly #panel: Panel;
  #nowMs = START_MS;

  /** Every sensor has just been heard; `seed` chooses what it said. */
  constructor(boat: Boat, seed: number) {
    this.#boat = boat;
    this.#latest = new Latest(boat);
    this.#panel = new Panel(boat, this.#latest, this.#past);
    const random = seeded(seed);
    for (const point of boat.points.values()) {
      const value = valueOf(boat, point, random());
      this.#latest.take({ pointId: point.id, value, atMs: START_MS });
    }
  }

  play({ passedMs, happenings }: Step): { goesOn: State; anew: State } {
    this.#nowMs += passedMs;
    for (const happening of happenings) this.#happen(happening);
    const fresh = new Panel(this.#boat, this.#latest, copyPast(this.#past));
    const goesOn = this.#panel.state(this.#nowMs);
    const anew = fresh.state(this.#nowMs);
    const mode = { name: 'aboard', sinceMs: null, untilMs: null, by: null } as const;
    noteChanges(this.#past, { ...goesOn, mode });
    return { goesOn, anew };
  }

  #happen(happening: Happening): void {
    if (happening.kind === 'word') {
      const parts = [...this.#boat.selectors, ...this.#boat.mainSwitches];
      const part = pick(parts, happening.at);
      if (!part) return;
      const names = part.part === 'selector' ? [...part.positions.keys()] : ['closed', 'open'];
      const position = pick(names, happening.value) ?? '';
      this.#past.statements[part.id] = { position, by: 'crew', atMs: this.#nowMs };
      return;
    }
    const point = pick([...this.#boat.points.values()], happening.at);
    if (!point) return;
    if (happening.kind === 'silence') {
      this.#latest.take({ pointId: point.id, atMs: this.#nowMs, isSilent: true });
      return;
    }
    const value = valueOf(this.#boat, point, happening.value);
    const reading = { pointId: point.id, value, atMs: this.#nowMs - happening.lateMs };
    const isRestored = happening.kind === 'replayed';
    this.#latest.take(isRestored ? { ...reading, isRestored } : reading);
  }
}

/** All but what rests on earlier steps of the clamps, and on culprits found a moment ago. */
const comparable = (state: State): State => ({ ...state, contradictions: [] });

/** Where everything stands and what feeds it: a panel that goes on may remember more of that. */
const settled = ({ selectors, mainSwitches, buses, sources }: State): string =>
  JSON.stringify([
    selectors,
    mainSwitches,
    buses.map(({ fedBy, fedByIsKnown, feedEvidence, because, legs }) => [
      fedBy,
      fedByIsKnown,
      feedEvidence,
      because,
      legs.map(({ live }) => live),
    ]),
    sources.map(({ legs }) => legs.map(({ live }) => live)),
  ]);

function readBoatFile(path: string): Boat {
  const { boat } = readBoat(readFileSync(new URL(path, import.meta.url), 'utf8'), path);
  if (!boat) throw new Error(`${path} is not usable`);
  return boat;
}

/** A source whose current only the clamps of its circuits tell. */
function unclampedBoat(): Boat {
  const topic = (id: string, of: string, quantity: string) => ({
    [id]: { of, quantity, mqtt: { topic: `test/${id}` } },
  });
  const text = JSON.stringify({
    boat: { name: 'Unclamped' },
    system: { ac: { kind: 'single phase', volts: 230, hertz: 50, legs: ['L'] } },
    sources: { inlet: { kind: 'shore inlet', amps: 16 } },
    switches: { main: { from: 'inlet' } },
    buses: { bus: { from: 'main' } },
    circuits: {
      heater: { bus: 'bus', breaker: { amps: 10 }, load: 'resistive' },
      kettle: { bus: 'bus', breaker: { amps: 10 }, load: 'resistive' },
    },
    points: {
      ...topic('main-position', 'main', 'switch'),
      ...topic('heater-amps', 'heater', 'amps'),
      ...topic('kettle-amps', 'kettle', 'amps'),
    },
    intake: { mqtt: { broker: 'embedded', port: 1883 } },
  });
  const { boat, problems } = readBoat(text, 'unclamped');
  if (!boat) throw new Error(problems.map((own) => own.message).join('\n'));
  return boat;
}

describe('a panel that goes on', () => {
  it('says what a panel that starts anew says, on boats whose buses have no voltmeter', () => {
    const boats = [1, 2, 3, 4, 5, 6].flatMap((seed) =>
      [0.5, 1].map((positions) => {
        const measured = { volts: 0, amps: 0.6, positions };
        const size = { sources: 3, selectors: 2, switches: 2, buses: 3, circuits: 6, measured };
        return randomBoat({ ...size, legs: seed % 2 === 0 ? 1 : 2 }, seed);
      }),
    );
    boats.push(unclampedBoat(), unclampedBoat());
    const property = fc.property(
      fc.constantFrom(...boats),
      fc.nat(),
      STEPS,
      (boat, seed, steps) => {
        const pair = new Pair(boat, seed);
        for (const step of steps) {
          const { goesOn, anew } = pair.play(step);
          expect(comparable(goesOn)).toStrictEqual(comparable(anew));
        }
      },
    );
    fc.assert(property, { seed: SEED, numRuns: 150 });
  });

  it('says so on whole boats too, wherever it remembers no more than the other can know', () => {
    const boats = [
      '../../../simulator/boats/sable-plover.yaml',
      '../../../simulator/boats/willow-dipper.yaml',
      '../../fixtures/boats/anchorage.yaml',
    ].map(readBoatFile);
    let compared = 0;
    let all = 0;
    const property = fc.property(
      fc.constantFrom(...boats),
      fc.nat(),
      STEPS,
      (boat, seed, steps) => {
        const pair = new Pair(boat, seed);
        for (const step of steps) {
          const { goesOn, anew } = pair.play(step);
          all += 1;
          if (settled(goesOn) !== settled(anew)) continue;
          compared += 1;
          expect(comparable(goesOn)).toStrictEqual(comparable(anew));
        }
      },
    );
    fc.assert(property, { seed: SEED, numRuns: 60 });
    expect(compared / all, `seed ${SEED}`).toBeGreaterThan(0.7);
  });
});
