/**
 * What one reading costs, state and rules together, on boats of 10 to 1,000 circuits: an evaluation
 * a second with every point read once before it, or every tenth, loads changing all the time. The
 * boats are played side by side, block by block, so that a busy machine slows all of them alike;
 * their ratios matter, not the machine. Processor time is counted, of a whole block at once, for
 * asking for it costs about as much as a small boat's evaluation. The middle block is told: before
 * it the engine is still compiling, and other work on the machine only ever adds.
 */
import { createWatch } from '../../rules/index.ts';
import type { Boat, Watch } from '../../rules/index.ts';
import { exactReading, randomBoat, randomTruth, seeded } from '../rules/panel/random-boats.ts';
import type { Truth } from '../rules/panel/random-boats.ts';
import { quantile } from './figures.ts';

export const CIRCUITS = [10, 60, 300, 1000];
/** Blocks played before any counts: code that runs often is compiled only after a while. */
const WARM_UP = 12;
const BLOCKS = 15;
/** Readings in a block, about: small boats are evaluated more often in it. */
const BLOCK_READINGS = 9000;

/** An invented boat with so many circuits, every one of them measured. */
export function benchBoat(circuits: number): Boat {
  const buses = Math.max(2, Math.ceil(circuits / 30));
  const measured = { volts: 1, amps: 1, positions: 0 };
  const switches = buses;
  return randomBoat({ sources: 3, selectors: 2, switches, buses, circuits, legs: 2, measured }, 7);
}

/** The first random truth in which something is live. */
export function liveTruth(boat: Boat): Truth {
  const random = seeded(7);
  const truth = randomTruth(boat, random, 1);
  for (const { id } of boat.mainSwitches) truth.positions.set(id, 'closed');
  const [source] = boat.sources;
  if (source) truth.live = new Set([source.id]);
  for (const { id, positions } of boat.selectors) {
    const way = [...positions].find(([, from]) => from === source?.id) ?? [...positions][1];
    if (way) truth.positions.set(id, way[0]);
  }
  return truth;
}

interface Given {
  pointId: string;
  value: number | string;
}

/** One boat that is played on and on. */
class Played {
  readonly circuits: number;
  readonly #watch: Watch;
  readonly #base: { pointId: string; value: number | string | null }[];
  readonly #random = seeded(11);
  readonly #every: number;
  #at = 0;

  /** Each point is read at every so many evaluations. */
  constructor(circuits: number, every: number) {
    const boat = benchBoat(circuits);
    const truth = liveTruth(boat);
    this.circuits = circuits;
    this.#every = every;
    this.#watch = createWatch(boat);
    this.#base = [...boat.points.values()].map((point) => ({
      pointId: point.id,
      value: exactReading(boat, truth, point, 0.4),
    }));
  }

  get points(): number {
    return this.#base.length;
  }

  /** Processor time of one block, in microseconds for each evaluation. */
  block(): number {
    const evaluations = Math.max(4, Math.round(BLOCK_READINGS / this.points));
    const given = Array.from({ length: evaluations }, (_, i) => this.#readings(this.#at + i));
    const start = process.cpuUsage();
    for (const readings of given) this.#step(readings);
    const { user, system } = process.cpuUsage(start);
    return (user + system) / evaluations;
  }

  #readings(at: number): Given[] {
    return this.#base
      .filter((_, i) => i % this.#every === at % this.#every)
      .map(({ pointId, value }) => ({
        pointId,
        value: typeof value === 'number' ? value * (1 + 0.004 * this.#random()) : (value ?? 0),
      }));
  }

  #step(readings: readonly Given[]): void {
    const atMs = 1_000_000 + this.#at * 1000;
    for (const { pointId, value } of readings) this.#watch.take({ pointId, value, atMs });
    this.#watch.evaluate(atMs);
    this.#at += 1;
  }
}

/** Microseconds of an evaluation of each boat: the middle block, and the slowest but one in ten. */
function costsOf(every: number): { boat: Played; micros: number; slowMicros: number }[] {
  const boats = CIRCUITS.map((circuits) => new Played(circuits, every));
  const blocks = boats.map((): number[] => []);
  for (let block = 0; block < WARM_UP + BLOCKS; block++) {
    boats.forEach((boat, i) => {
      const micros = boat.block();
      if (block >= WARM_UP) blocks[i]?.push(micros);
    });
  }
  return boats.map((boat, i) => ({
    boat,
    micros: quantile(blocks[i] ?? [], 0.5),
    slowMicros: quantile(blocks[i] ?? [], 0.9),
  }));
}

/** One line for each size, with the cost of a reading against that of the smallest boat. */
export function perReadingFigures(): string[] {
  const [first, ...others] = costsOf(1);
  const lines = [first, ...others].flatMap((own) => {
    if (!own || !first) return [];
    const { boat, micros, slowMicros } = own;
    const each = micros / boat.points;
    const ratio = (each / (first.micros / first.boat.points)).toFixed(2);
    return `${boat.circuits} circuits, ${boat.points} readings a second: ${each.toFixed(1)} µs a reading (x ${ratio}), ${(micros / 1000).toFixed(2)} ms an evaluation, slow ones ${(slowMicros / 1000).toFixed(2)} ms`;
  });
  const slow = costsOf(10).map(
    ({ boat, micros }) =>
      `${boat.circuits} circuits, each point read every ten seconds: ${(micros / 1000).toFixed(2)} ms an evaluation`,
  );
  return [...lines, ...slow];
}
