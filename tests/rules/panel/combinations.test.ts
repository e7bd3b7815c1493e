/**
 * The diagram of combinations against the slow and plain way: writing down every combination of
 * positions and of unmeasured sources, one by one, and keeping those that no fact contradicts.
 */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Boat, LegName } from '../../../rules/index.ts';
import { allCombinations } from '../../../rules/panel/combinations.ts';
import { concludeOnce } from '../../../rules/panel/conclusions.ts';
import type { Conclusions } from '../../../rules/panel/conclusions.ts';
import { FactFinder } from '../../../rules/panel/facts.ts';
import type { Facts } from '../../../rules/panel/facts.ts';
import { Latest } from '../../../rules/panel/latest.ts';
import { supplyOf } from '../../../rules/panel/supply.ts';
import type { Supply } from '../../../rules/panel/supply.ts';
import { exactReading, randomBoat, randomTruth, seeded } from './random-boats.ts';
import type { BoatSize } from './random-boats.ts';

/** One way everything can be: choice of each supplied part, root of each part, live legs. */
interface World {
  choice: number[];
  root: number[];
  live: Set<string>;
}

const legKey = (root: number, leg: LegName): string => `${root} ${leg}`;

function* worlds(supply: Supply, facts: Facts): Generator<World> {
  const openLegs = supply.parts.flatMap(({ choices, legs }, root) =>
    choices.length > 0
      ? []
      : legs.filter((leg) => !facts.roots.get(root)?.has(leg)).map((leg) => legKey(root, leg)),
  );
  const sizes = [
    ...supply.parts.map((own) => Math.max(1, own.choices.length)),
    ...openLegs.map(() => 2),
  ];
  const total = sizes.reduce((a, b) => a * b, 1);
  for (let index = 0; index < total; index++) {
    let rest = index;
    const digits = sizes.map((size) => {
      const digit = rest % size;
      rest = Math.floor(rest / size);
      return digit;
    });
    const root: number[] = [];
    supply.parts.forEach(({ choices }, part) => {
      const from = choices[digits[part] ?? 0]?.from;
      root.push(
        choices.length === 0 ? part : from === null || from === undefined ? -1 : (root[from] ?? -1),
      );
    });
    const live = new Set(openLegs.filter((_, at) => digits[supply.parts.length + at] === 1));
    for (const [part, legs] of facts.roots) {
      for (const [leg, state] of legs) if (state === 'live') live.add(legKey(part, leg));
    }
    yield { choice: digits.slice(0, supply.parts.length), root, live };
  }
}

const isLegLive = (supply: Supply, world: World, part: number, leg: LegName): boolean => {
  const root = world.root[part] ?? -1;
  return (
    root >= 0 &&
    (supply.parts[root]?.legs.includes(leg) ?? false) &&
    world.live.has(legKey(root, leg))
  );
};

function isAllowed(supply: Supply, facts: Facts, world: World): boolean {
  for (const [part, name] of facts.reported) {
    if (supply.parts[part]?.choices[world.choice[part] ?? 0]?.name !== name) return false;
  }
  return facts.legs.every(
    ({ part, leg, claims }) => isLegLive(supply, world, part, leg) === (claims === 'live'),
  );
}

/** A bus that no reading speaks of may hang on any source: it leaves every upper bound open. */
const isSilent = (facts: Facts, bus: number): boolean =>
  facts.legs.every((own) => own.part !== bus) &&
  facts.currents.every((own) => own.part !== bus || own.high === null);

/** Whether the currents of one group add up in a world. */
function addsUp(supply: Supply, facts: Facts, world: World, group: number): boolean {
  const own = facts.currents.filter((fact) => supply.parts[fact.part]?.group === group);
  const sources = own.filter((fact) => supply.parts[fact.part]?.choices.length === 0);
  return sources.every((source) => {
    const buses = own.filter((fact) => !sources.includes(fact) && fact.leg === source.leg);
    const fed = buses.filter((fact) => world.root[fact.part] === source.part);
    const hasOpen =
      fed.some((fact) => fact.high === null) || buses.some((fact) => isSilent(facts, fact.part));
    const low = fed.reduce((sum, fact) => sum + fact.low, 0);
    const high = hasOpen ? Infinity : fed.reduce((sum, fact) => sum + (fact.high ?? 0), 0);
    return source.low >= low * 0.85 - 1 && source.low <= high * 1.15 + 1;
  });
}

interface Known {
  choices: Set<number>;
  roots: Set<number>;
  live: Map<LegName, Set<boolean>>;
}

/** What all allowed worlds agree on, part by part; null for the parts of a group without any. */
function naive(supply: Supply, facts: Facts): (Known | null)[] {
  const all = [...worlds(supply, facts)].filter((world) => isAllowed(supply, facts, world));
  return supply.parts.map(({ group, legs }, part) => {
    if (all.length === 0) return null;
    const fitting = all.filter((world) => addsUp(supply, facts, world, group));
    const kept = fitting.length > 0 ? fitting : all;
    return {
      choices: new Set(kept.map((own) => own.choice[part] ?? 0)),
      roots: new Set(kept.map((own) => own.root[part] ?? -1)),
      live: new Map(
        legs.map((leg) => [leg, new Set(kept.map((own) => isLegLive(supply, own, part, leg)))]),
      ),
    };
  });
}

const SMALL: BoatSize = {
  sources: 3,
  selectors: 2,
  switches: 3,
  buses: 3,
  circuits: 4,
  legs: 1,
  measured: { volts: 0.6, amps: 0.5, positions: 0.2 },
};

/** Facts as sensors would give them, some of them wrong with a chance of `faultShare`. */
function factsOf(boat: Boat, supply: Supply, seed: number, faultShare: number): Facts {
  const random = seeded(seed);
  const truth = randomTruth(boat, random);
  const latest = new Latest(boat);
  const ampsEach = 1 + Math.floor(random() * 8);
  for (const point of boat.points.values()) {
    let value = exactReading(boat, truth, point, ampsEach);
    if (random() < faultShare && point.quantity === 'volts') value = value === 0 ? 120 : 0;
    if (value !== null) latest.take({ pointId: point.id, value, atMs: 0 });
  }
  return new FactFinder(boat, supply, latest).collect(0);
}

const order = (numbers: Iterable<number>): number[] => [...numbers].sort((a, b) => a - b);

/** Everything in which the conclusions differ from what the plain way found. */
function differences(supply: Supply, expected: (Known | null)[], got: Conclusions): string[] {
  const found: string[] = [];
  supply.parts.forEach(({ part, choices, legs, group }, number) => {
    const want = expected[number];
    if (!want || got.contradictory.includes(group)) return;
    const own = got.parts[number];
    const say = (what: string, a: unknown, b: unknown): void => {
      if (JSON.stringify(a) !== JSON.stringify(b)) {
        found.push(`${part.id} ${what}: ${JSON.stringify(a)} and not ${JSON.stringify(b)}`);
      }
    };
    if (choices.length > 0) say('choices', own?.possible, order(want.choices));
    say('roots', order(own?.roots ?? []), order(want.roots));
    for (const leg of legs) {
      const states = [...(want.live.get(leg) ?? [])];
      const live = states.length !== 1 ? 'unknown' : states[0] === true ? 'live' : 'dead';
      say(`leg ${leg}`, own?.live.get(leg), live);
    }
  });
  return found;
}

const seeds = {
  seed: fc.integer({ min: 1, max: 1e6 }),
  factSeed: fc.integer({ min: 1, max: 1e6 }),
};

describe('against writing down every combination', () => {
  test('small boats with sound sensors: the same is known, to the last leg', () => {
    fc.assert(
      fc.property(fc.record(seeds), ({ seed, factSeed }) => {
        const boat = randomBoat(SMALL, seed);
        const supply = supplyOf(boat);
        const facts = factsOf(boat, supply, factSeed, 0);
        const got = concludeOnce(supply, facts);
        expect(got.contradictory).toEqual([]);
        expect(differences(supply, naive(supply, facts), got)).toEqual([]);
      }),
      { numRuns: 150 },
    );
  });

  test('split phase with a leg lost here and there', () => {
    fc.assert(
      fc.property(fc.record(seeds), ({ seed, factSeed }) => {
        const boat = randomBoat({ ...SMALL, sources: 2, switches: 2, buses: 2, legs: 2 }, seed);
        const supply = supplyOf(boat);
        const facts = factsOf(boat, supply, factSeed, 0.1);
        const got = concludeOnce(supply, facts);
        const expected = naive(supply, facts);
        if (!expected.includes(null)) {
          expect(got.contradictory).toEqual([]);
          expect(differences(supply, expected, got)).toEqual([]);
        }
      }),
      { numRuns: 150 },
    );
  });

  test('sensors that lie: a contradiction is found exactly where no combination is left', () => {
    let contradictions = 0;
    fc.assert(
      fc.property(fc.record(seeds), ({ seed, factSeed }) => {
        const boat = randomBoat(SMALL, seed);
        const supply = supplyOf(boat);
        const facts = factsOf(boat, supply, factSeed, 0.2);
        const got = concludeOnce(supply, facts);
        const expected = naive(supply, facts);
        expect(got.contradictory.length > 0).toBe(expected.includes(null));
        if (expected.includes(null)) contradictions += 1;
        else expect(differences(supply, expected, got)).toEqual([]);
      }),
      { numRuns: 150 },
    );
    expect(contradictions).toBeGreaterThan(10);
  });
});

describe('a boat with 6 selectors and 12 main switches', () => {
  const size = {
    sources: 6,
    selectors: 6,
    switches: 12,
    buses: 12,
    circuits: 24,
    legs: 2,
  } as const;

  test.each([
    ['little evidence', { volts: 0.3, amps: 0.2, positions: 0 }],
    ['volts and clamps on nearly everything', { volts: 0.95, amps: 0.95, positions: 0.3 }],
  ])('is solved exactly with %s: the truth is never excluded', (_, measured) => {
    for (let seed = 1; seed <= 20; seed++) {
      const boat = randomBoat({ ...size, measured }, seed);
      const supply = supplyOf(boat);
      const truth = randomTruth(boat, seeded(seed));
      const latest = new Latest(boat);
      for (const point of boat.points.values()) {
        const value = exactReading(boat, truth, point, 2);
        if (value !== null) latest.take({ pointId: point.id, value, atMs: 0 });
      }
      const facts = new FactFinder(boat, supply, latest).collect(0);
      const { parts, contradictory } = concludeOnce(supply, facts);
      expect(contradictory, `seed ${seed}`).toEqual([]);
      // Not by giving up: every group has its diagram.
      for (let group = 0; group < supply.groups; group++) {
        expect(allCombinations(supply, facts, group), `seed ${seed}`).not.toBeNull();
      }
      for (const [id, position] of truth.positions) {
        const number = supply.numberOf.get(id) ?? -1;
        const choice = supply.parts[number]?.choices.findIndex((own) => own.name === position);
        expect(parts[number]?.possible, `seed ${seed}: ${id} on ${position}`).toContain(choice);
      }
    }
  });
});
