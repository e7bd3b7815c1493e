/**
 * What one reading costs, state and rules together, on boats of 10 to 1,000 circuits: an evaluation
 * a second with every point read once before it, loads changing all the time. The figures of one
 * run stand beside each other; their ratios matter, not the machine. Processor time is counted,
 * not the clock's, so that a busy machine does not count twice.
 */
import { createWatch } from '../../rules/index.ts';
import type { Boat, Watch } from '../../rules/index.ts';
import { exactReading, randomBoat, randomTruth, seeded } from '../rules/panel/random-boats.ts';
import type { Truth } from '../rules/panel/random-boats.ts';
import { quantile } from './figures.ts';

export const CIRCUITS = [10, 60, 300, 1000];
const WARM_UP = 60;
const EVALUATIONS = 300;

function boatOf(circuits: number): Boat {
  const buses = Math.max(2, Math.ceil(circuits / 30));
  const measured = { volts: 1, amps: 1, positions: 0 };
  const switches = buses;
  return randomBoat({ sources: 3, selectors: 2, switches, buses, circuits, legs: 2, measured }, 7);
}

/** The first random truth in which something is live. */
function liveTruth(boat: Boat): Truth {
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

interface Cost {
  readings: number;
  meanMs: number;
  mostMs: number;
}

function costOf(circuits: number): Cost {
  const boat = boatOf(circuits);
  const watch = createWatch(boat);
  const truth = liveTruth(boat);
  const random = seeded(11);
  const base = [...boat.points.values()].map((point) => ({
    pointId: point.id,
    value: exactReading(boat, truth, point, 0.4),
  }));
  const times: number[] = [];
  for (let at = 0; at < WARM_UP + EVALUATIONS; at++) {
    const readings = base.map(({ pointId, value }) => ({
      pointId,
      value: typeof value === 'number' ? value * (1 + 0.004 * random()) : (value ?? 0),
    }));
    const start = process.cpuUsage();
    step(watch, readings, 1_000_000 + at * 1000);
    const { user, system } = process.cpuUsage(start);
    if (at >= WARM_UP) times.push((user + system) / 1000);
  }
  const meanMs = times.reduce((a, b) => a + b, 0) / times.length;
  return { readings: base.length, meanMs, mostMs: quantile(times, 0.99) };
}

function step(watch: Watch, readings: { pointId: string; value: number | string }[], atMs: number) {
  for (const { pointId, value } of readings) watch.take({ pointId, value, atMs });
  watch.evaluate(atMs);
}

/** One line for each size, with the cost of a reading against that of the smallest boat. */
export function perReadingFigures(): string[] {
  let first: number | null = null;
  return CIRCUITS.map((circuits) => {
    const { readings, meanMs, mostMs } = costOf(circuits);
    const micros = (1000 * meanMs) / readings;
    first ??= micros;
    const ratio = (micros / first).toFixed(2);
    return `${circuits} circuits, ${readings} readings a second: ${micros.toFixed(1)} µs a reading (x ${ratio}), ${meanMs.toFixed(2)} ms an evaluation, one in a hundred over ${mostMs.toFixed(1)} ms`;
  });
}
