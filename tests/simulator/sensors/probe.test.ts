/** What a sensor finds where it is clamped on: here a voltmeter across both hot wires. */
import { expect, test } from 'vitest';
import type { Point } from '../../../rules/index.ts';
import { probeAt } from '../../../simulator/sensors/probe.ts';
import { Bench, sablePlover } from '../demo-boats.ts';

const voltsAt = (of: string, leg: string): Point => {
  const known = [...sablePlover.points.values()].find((own) => own.quantity === 'volts');
  if (known === undefined) throw new Error('a boat without volts');
  return { ...known, id: `${of}-${leg}`, of, leg };
};

/** What the probe says at a part, on a leg or across both. */
const read = (bench: Bench, of: string, leg: string): number =>
  Number(probeAt(bench.vessel, voltsAt(of, leg))());

const PARTS = [
  ...sablePlover.sources.filter((own) => own.legs.length === 2).map((own) => own.id),
  ...[...sablePlover.parts.values()].flatMap((own) =>
    own.system === 'ac' &&
    (own.part === 'bus' || own.part === 'main switch' || own.part === 'selector')
      ? [own.id]
      : [],
  ),
];

test.each(PARTS)('a voltmeter across both legs of %s reads the sum of opposite legs', (id) => {
  // What split phase is: both legs come from one winding with its middle at neutral.
  const bench = new Bench(sablePlover, 12).pass(10);
  const sum = read(bench, id, 'L1') + read(bench, id, 'L2');
  expect(read(bench, id, 'L1-L2')).toBeCloseTo(sum, 0);
});

test('the demo boat shows about 240 V across a live inlet', () => {
  const live = new Bench(sablePlover, 12).pass(10);
  const across = PARTS.map((id) => read(live, id, 'L1-L2'));
  expect(Math.max(...across)).toBeGreaterThan(228);
  expect(Math.max(...across)).toBeLessThan(252);
});
