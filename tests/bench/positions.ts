/**
 * How long it takes to work out the positions of a boat with 6 selectors and 12 main switches, over
 * 50 random boats: with little evidence, much, and next to everything; all sources live is the
 * hardest. Figures depend on the machine; the shape does not.
 */
import { Reasoner } from '../../rules/panel/conclusions.ts';
import { FactFinder } from '../../rules/panel/facts.ts';
import { Latest } from '../../rules/panel/latest.ts';
import { supplyOf } from '../../rules/panel/supply.ts';
import { exactReading, randomBoat, randomTruth, seeded } from '../rules/panel/random-boats.ts';
import { quantile } from './figures.ts';

const SIZE = { sources: 6, selectors: 6, switches: 12, buses: 12, circuits: 24, legs: 2 } as const;
const BOATS = 50;

const EVIDENCE = [
  ['none', { volts: 0, amps: 0, positions: 0 }],
  ['little', { volts: 0.3, amps: 0.2, positions: 0 }],
  ['volts only', { volts: 1, amps: 0, positions: 0 }],
  ['buses and sources', { volts: 1, amps: 1, positions: 0 }],
  ['positions too', { volts: 1, amps: 1, positions: 0.5 }],
] as const;

/** One line a kind of evidence: milliseconds from facts to conclusions. */
export function positionFigures(): string[] {
  return EVIDENCE.flatMap(([name, measured]) =>
    [0.3, 1].map((liveShare) => {
      const times: number[] = [];
      for (let seed = 1; seed <= BOATS; seed++) {
        times.push(timeOf(seed, measured, liveShare));
      }
      const half = quantile(times, 0.5).toFixed(2);
      const most = Math.max(...times).toFixed(2);
      const live = liveShare === 1 ? 'all sources live' : 'some sources live';
      return `6 selectors x 12 switches, ${name}, ${live}: median ${half} ms, most ${most} ms`;
    }),
  );
}

function timeOf(
  seed: number,
  measured: { volts: number; amps: number; positions: number },
  liveShare: number,
): number {
  const boat = randomBoat({ ...SIZE, measured }, seed);
  const supply = supplyOf(boat);
  const truth = randomTruth(boat, seeded(seed), liveShare);
  const latest = new Latest(boat);
  for (const point of boat.points.values()) {
    const value = exactReading(boat, truth, point, 2);
    if (value !== null) latest.take({ pointId: point.id, value, atMs: 0 });
  }
  const facts = new FactFinder(boat, supply, latest).collect(0);
  const start = performance.now();
  new Reasoner(supply).conclude(facts);
  return performance.now() - start;
}
