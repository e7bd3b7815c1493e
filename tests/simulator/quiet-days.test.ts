/** A whole ordinary day of each ship stays within what the boat file and common sense allow. */
import { beforeAll, describe, expect, test } from 'vitest';
import type { Boat } from '../../rules/index.ts';
import { createSimulation } from '../../simulator/simulation.ts';
import type { Truth } from '../../simulator/truth.ts';
import { part, settingFor } from './demo-boats.ts';

const STEP_SECONDS = 10;

/** Longest time that something stayed above a limit, forgiving dips of so many seconds. */
class Hold {
  longestSeconds = 0;
  readonly #forgivenSeconds: number;
  #seconds = 0;
  #dipSeconds = 0;

  constructor(forgivenSeconds: number) {
    this.#forgivenSeconds = forgivenSeconds;
  }

  see(isAbove: boolean): void {
    this.#dipSeconds = isAbove ? 0 : this.#dipSeconds + STEP_SECONDS;
    if (this.#dipSeconds > this.#forgivenSeconds) this.#seconds = 0;
    else if (this.#seconds > 0 || isAbove) this.#seconds += STEP_SECONDS;
    this.longestSeconds = Math.max(this.longestSeconds, this.#seconds - this.#dipSeconds);
  }
}

interface Rated {
  id: string;
  ampsRated: number;
  amps: (truth: Truth) => number;
  over: Hold;
  high: Hold;
}

/** Above its rating, and above 80 % of it with dips of a minute forgiven. */
const holds = (): { over: Hold; high: Hold } => ({ over: new Hold(0), high: new Hold(60) });

/** Everything with a rating in amperes, leg by leg. */
function ratedParts(boat: Boat): Rated[] {
  const sources = boat.sources.flatMap(({ id, legs, ampsRated }) =>
    legs.map((_, at) => ({
      id: `${id} ${at}`,
      ampsRated,
      amps: (truth: Truth) => part(truth.sources, id).legs[at]?.amps ?? 0,
      ...holds(),
    })),
  );
  const buses = boat.buses.flatMap(({ id, legs, ampsRated }) =>
    legs.map((_, at) => ({
      id: `${id} ${at}`,
      ampsRated: ampsRated ?? Infinity,
      amps: (truth: Truth) => part(truth.buses, id).legs[at]?.amps ?? 0,
      ...holds(),
    })),
  );
  const circuits = boat.circuits.map(({ id, breaker }) => ({
    id,
    ampsRated: breaker.ampsRated,
    amps: (truth: Truth) => part(truth.circuits, id).amps,
    ...holds(),
  }));
  return [...sources, ...buses, ...circuits];
}

interface Day {
  overloadSeconds: Map<string, number>;
  above80Seconds: Map<string, number>;
  least: Map<string, number>;
  most: Map<string, number>;
  charge: { least: number; most: number };
  uncooledSeconds: number;
  last: Truth;
}

function live(name: string, seed: number): Day {
  const setting = settingFor(name, seed);
  const simulation = createSimulation(setting);
  const rated = ratedParts(setting.boat);
  const [least, most] = [new Map<string, number>(), new Map<string, number>()];
  const charge = { least: 1, most: 0 };
  const uncooled = new Hold(0);
  let truth = simulation.truth();
  for (let second = STEP_SECONDS; second <= 24 * 3600; second += STEP_SECONDS) {
    simulation.step(second * 1000);
    simulation.messagesDue();
    truth = simulation.truth();
    for (const { ampsRated, amps, over, high } of rated) {
      over.see(amps(truth) > ampsRated);
      high.see(amps(truth) > 0.8 * ampsRated);
    }
    for (const [id, { legs, fedBy }] of truth.buses) {
      for (const { leg, volts } of fedBy === null ? [] : legs) {
        least.set(`${id} ${leg}`, Math.min(least.get(`${id} ${leg}`) ?? Infinity, volts));
        most.set(`${id} ${leg}`, Math.max(most.get(`${id} ${leg}`) ?? 0, volts));
      }
    }
    for (const { stateOfCharge } of truth.batteries.values()) {
      charge.least = Math.min(charge.least, stateOfCharge);
      charge.most = Math.max(charge.most, stateOfCharge);
    }
    uncooled.see(isUncooled(truth));
  }
  const seconds = (of: 'over' | 'high'): Map<string, number> =>
    new Map(rated.map((one) => [one.id, one[of].longestSeconds]));
  return {
    overloadSeconds: seconds('over'),
    above80Seconds: seconds('high'),
    least,
    most,
    charge,
    uncooledSeconds: uncooled.longestSeconds,
    last: truth,
  };
}

/** Some air conditioner compresses without its pump. */
function isUncooled({ circuits }: Truth): boolean {
  const isRunning = (id: string): boolean => (circuits.get(id)?.amps ?? 0) > 3;
  const units = ['saloon-air', 'owner-air', 'guest-air'];
  return units.some(isRunning) && (circuits.get('raw-water-pump')?.amps ?? 0) < 1;
}

const kilowattHours = (truth: Truth, source: string): number =>
  part(truth.sources, source).joules / 3.6e6;

describe.each([
  ['quiet-day', 1],
  ['quiet-day-canal', 1],
] as const)('%s with seed %i', (name, seed) => {
  let day: Day;
  beforeAll(() => {
    day = live(name, seed);
  });
  const isCanal = name === 'quiet-day-canal';

  test('nothing is above its rating for more than a start', () => {
    const longest = [...day.overloadSeconds].filter(([, seconds]) => seconds > STEP_SECONDS);
    expect(longest).toEqual([]);
  });

  test('nothing stays above 80 % of its rating for three hours', () => {
    const longest = Math.max(...day.above80Seconds.values());
    expect(longest).toBeLessThan(3 * 3600);
    // Something comes there at all, or the check would mean nothing.
    expect(longest).toBeGreaterThan(0);
  });

  // ANSI C84.1 utilization range A from 108 V of 120; EN 50160 from 207 to 253 V of 230.
  test('volts stay within the published bands wherever a bus is fed', () => {
    const ac = [...day.least.keys()].filter((key) => !key.endsWith('DC'));
    const [low, high] = isCanal ? [207, 253] : [108, 127];
    for (const key of ac) {
      expect(day.least.get(key), key).toBeGreaterThan(low);
      expect(day.most.get(key), key).toBeLessThan(high);
    }
    const dcNominal = isCanal ? 24 : 12;
    expect(day.least.get('dc-bus DC')).toBeGreaterThan(dcNominal * 1.03);
    expect(day.most.get('dc-bus DC')).toBeLessThan(dcNominal * 1.22);
  });

  test('the bank stays well charged', () => {
    expect(day.charge.least).toBeGreaterThan(0.75);
    expect(day.charge.most).toBeLessThanOrEqual(1);
  });

  test('no compressor runs without water', () => {
    expect(day.uncooledSeconds).toBeLessThanOrEqual(STEP_SECONDS);
  });

  test('no breaker has tripped, and nobody is left on the wrong source', () => {
    const tripped = [...day.last.circuits].filter(([, { breaker }]) => breaker === 'tripped');
    expect(tripped).toEqual([]);
    expect([...day.last.mainSwitches.values()]).not.toContain('tripped');
  });

  test('the day took a believable amount of energy', () => {
    const shore = kilowattHours(day.last, isCanal ? 'shore' : 'bow-inlet');
    const sun = kilowattHours(day.last, isCanal ? 'roof-solar' : 'solar-arch');
    const [low, high] = isCanal ? [2, 12] : [20, 70];
    expect(shore).toBeGreaterThan(low);
    expect(shore).toBeLessThan(high);
    expect(sun).toBeGreaterThan(0.3);
    expect(sun).toBeLessThan(3.5);
  });
});
