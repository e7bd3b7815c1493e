/** Voltages that ripple alike: found where they do, and never sure of the wrong one. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { followedBy } from '../../../../rules/panel/evidence/ripple.ts';
import { sensor, wandering } from './series.ts';

const SEED = 7113;
/** Means over eight readings, as many as the witness looks at. */
const READINGS = 8;
const STRETCHES = 49;

interface Feeder {
  /** Ripple of the source, its time constant, noise and resolution of its sensor; volts, seconds. */
  ripple: number;
  seconds: number;
  noise: number;
  resolution: number;
}

interface Scene {
  feeders: readonly Feeder[];
  /** Ripple that both sources share, as two inlets on one pedestal do. */
  shared: number;
  seed: number;
  /** Stretches after which the bus hangs on the second source; none: never. */
  turnedAfter?: number;
}

/** Stretch means of the bus, which hangs on the first source, and of all sources. */
function play({ feeders, shared, seed, turnedAfter }: Scene): {
  bus: number[];
  sources: number[][];
} {
  const common = wandering(0, shared, 25, seed + 1);
  const waves = feeders.map((own, i) => wandering(121, own.ripple, own.seconds, seed + 10 * i + 2));
  const sensors = feeders.map((own, i) => sensor(own.noise, own.resolution, seed + 10 * i + 3));
  const busSensor = sensor(0.13, 0.01, seed + 4);
  const bus: number[] = [];
  const sources: number[][] = feeders.map(() => []);
  for (let stretch = 0; stretch < STRETCHES; stretch += 1) {
    const sums = feeders.map(() => 0);
    let busSum = 0;
    for (let reading = 0; reading < READINGS; reading += 1) {
      const all = common();
      const volts = waves.map((wave) => wave() + all);
      volts.forEach((own, i) => (sums[i] = (sums[i] ?? 0) + (sensors[i]?.(own) ?? 0)));
      const on = turnedAfter !== undefined && stretch >= turnedAfter ? 1 : 0;
      busSum += busSensor((volts[on] ?? 0) - 0.2);
    }
    bus.push(busSum / READINGS);
    sums.forEach((sum, i) => sources[i]?.push(sum / READINGS));
  }
  return { bus, sources };
}

const toldOf = (scene: Scene): number | null => {
  const { bus, sources } = play(scene);
  return followedBy(
    [bus],
    sources.map((own) => [own]),
  );
};

/** A dock and a generator. */
const DOCK: Feeder = { ripple: 0.3, seconds: 40, noise: 0.13, resolution: 0.01 };
const ENGINE: Feeder = { ripple: 0.15, seconds: 4, noise: 0.13, resolution: 0.01 };

const feeders: fc.Arbitrary<Feeder> = fc.record({
  ripple: fc.double({ min: 0.001, max: 2, noNaN: true }),
  seconds: fc.double({ min: 2, max: 300, noNaN: true }),
  noise: fc.double({ min: 0, max: 0.5, noNaN: true }),
  resolution: fc.constantFrom(0.01, 0.1, 0.5, 1),
});

describe('the bus moves as its source', () => {
  test('the one of two is found in most windows, by the flicker of a dock alone', () => {
    const found = Array.from({ length: 100 }, (_, i) =>
      toldOf({ feeders: [DOCK, ENGINE], shared: 0, seed: SEED + 100 * i }),
    );
    expect(found.filter((own) => own === 0).length).toBeGreaterThan(60);
    expect(found.filter((own) => own === 1)).toEqual([]);
  });

  test('two sources that ripple independently: never the wrong one in two thousand windows', () => {
    fc.assert(
      fc.property(feeders, feeders, fc.nat(), (own, other, seed) => {
        expect(toldOf({ feeders: [own, other], shared: 0, seed })).not.toBe(1);
      }),
      { seed: SEED, numRuns: 2000 },
    );
  });

  test('two inlets on one pedestal, which ripple alike in part: never the wrong one', () => {
    fc.assert(
      fc.property(
        feeders,
        feeders,
        fc.double({ min: 0, max: 2, noNaN: true }),
        fc.nat(),
        (own, other, shared, seed) => {
          expect(toldOf({ feeders: [own, other], shared, seed })).not.toBe(1);
        },
      ),
      { seed: SEED, numRuns: 2000 },
    );
  });

  test('a source whose sensor hangs may be the one all the same: nothing is told', () => {
    const { bus, sources } = play({ feeders: [DOCK, DOCK], shared: 1, seed: SEED });
    const hanging = sources[0]?.map(() => 121) ?? [];
    expect(followedBy([bus], [[hanging], [sources[1] ?? []]])).toBeNull();
  });

  test('both legs of a split-phase bus tell more than one, but count no more', () => {
    const one = play({ feeders: [DOCK, ENGINE], shared: 0, seed: SEED });
    const other = play({ feeders: [DOCK, ENGINE], shared: 0, seed: SEED + 1 });
    const legs = one.sources.map((own, i) => [own, other.sources[i] ?? []]);
    expect(followedBy([one.bus, other.bus], legs)).toBe(0);
  });

  test('too little has been seen: nothing is told', () => {
    const { bus, sources } = play({ feeders: [DOCK, ENGINE], shared: 0, seed: SEED });
    const few = (own: number[]): number[] => own.slice(0, 10);
    expect(
      followedBy(
        [few(bus)],
        sources.map((own) => [few(own)]),
      ),
    ).toBeNull();
  });

  test('a turn that no reading saw ends it within a minute', () => {
    const told = Array.from({ length: 50 }, (_, i) =>
      toldOf({
        feeders: [DOCK, { ...DOCK, seconds: 20 }],
        shared: 0,
        seed: SEED + 100 * i,
        turnedAfter: STRETCHES - 7,
      }),
    );
    expect(told.filter((own) => own === 0).length).toBeLessThan(5);
  });
});
