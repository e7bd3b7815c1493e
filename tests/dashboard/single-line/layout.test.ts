/** The geometry of the diagram over generated boats at three widths, folded and open. */
import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { layOut } from '../../../dashboard/single-line/layout.ts';
import { textWidth } from '../../../dashboard/single-line/lettering.ts';
import type { Box, Layout, Spot } from '../../../dashboard/single-line/shapes.ts';
import { wiringOf } from '../../../dashboard/single-line/wiring.ts';
import type { Wiring } from '../../../dashboard/single-line/wiring.ts';
import { createWatch, readBoat } from '../../../rules/index.ts';
import { generatedWiring, sizes } from './generated-wiring.ts';

const WIDTHS = [360, 820, 1366];
/** Boats at each width; more with `LAYOUTS=2000`. */
const LAYOUTS = Number(process.env['LAYOUTS'] ?? 60);

interface Named {
  name: string;
  box: Box;
}

const boxesOf = ({ symbols, labels }: Layout): Named[] => [
  ...symbols.map(({ id, kind, box }) => ({ name: `${kind} ${id}`, box })),
  ...labels.map(({ of, lines, box }) => ({ name: `label ${of} "${lines.join('/')}"`, box })),
];

const overlap = (a: Box, b: Box): boolean =>
  a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height;

interface Run {
  net: string;
  box: Box;
  isUpright: boolean;
}

/** Every straight piece of every wire; throws where one is neither level nor upright. */
function runsOf({ wires }: Layout): Run[] {
  return wires.flatMap(({ from, points }) =>
    points.slice(1).map((to, index) => {
      const [x, y] = points[index] as Spot;
      if (x !== to[0] && y !== to[1]) throw new Error(`A slanting wire of ${from}`);
      const box = {
        x: Math.min(x, to[0]),
        y: Math.min(y, to[1]),
        width: Math.abs(x - to[0]),
        height: Math.abs(y - to[1]),
      };
      return { net: from, box, isUpright: x === to[0] };
    }),
  );
}

/** Inside a box, not only along its edge. */
const isThrough = (run: Box, box: Box): boolean =>
  run.x < box.x + box.width &&
  run.x + run.width > box.x &&
  run.y < box.y + box.height &&
  run.y + run.height > box.y;

const alongOf = ({ box, isUpright }: Run): [number, number, number] =>
  isUpright ? [box.x, box.y, box.y + box.height] : [box.y, box.x, box.x + box.width];

/** Two runs of different outlets that lie on one line and share a piece of it. */
function isShared(a: Run, b: Run): boolean {
  if (a.net === b.net || a.isUpright !== b.isUpright) return false;
  const [at, from, to] = alongOf(a);
  const [otherAt, otherFrom, otherTo] = alongOf(b);
  return Math.abs(at - otherAt) < 3 && from <= otherTo && otherFrom <= to;
}

function faultsOf(layout: Layout, wiring: Wiring): string[] {
  const found: string[] = [];
  const boxes = boxesOf(layout);
  boxes.forEach((a, index) => {
    for (const b of boxes.slice(index + 1)) {
      if (overlap(a.box, b.box)) found.push(`${a.name} overlaps ${b.name}`);
    }
    const { x, y, width, height } = a.box;
    if (x < 0 || y < 0 || x + width > layout.width || y + height > layout.height) {
      found.push(`${a.name} is outside`);
    }
  });
  const runs = runsOf(layout);
  runs.forEach((run, index) => {
    for (const { name, box } of boxes) {
      if (isThrough(run.box, box)) found.push(`a wire of ${run.net} goes through ${name}`);
    }
    for (const other of runs.slice(index + 1)) {
      if (isShared(run, other)) found.push(`${run.net} and ${other.net} share a line`);
    }
  });
  for (const { of, lines, box, size } of layout.labels) {
    const widest = Math.max(...lines.map((line) => textWidth(line, size)));
    if (widest > box.width + 0.01) found.push(`label ${of} is wider than its box`);
  }
  found.push(...unconnected(layout, wiring));
  return found;
}

const touches = (box: Box, [x, y]: Spot): boolean =>
  x >= box.x && x <= box.x + box.width && y >= box.y && y <= box.y + box.height;

/** Feeds of which the wires, taken together, do not lead from the feeder to the part. */
function unconnected(layout: Layout, wiring: Wiring): string[] {
  const symbolOf = new Map(layout.symbols.map((symbol) => [symbol.id, symbol]));
  const runs = runsOf(layout);
  return wiring.parts.flatMap((part) =>
    part.inlets.flatMap(({ from }, index) => {
      if (from === null) return [];
      const start = symbolOf.get(from)?.outlet;
      const symbol = symbolOf.get(part.id);
      const contact = symbol?.contacts[index]?.at;
      if (!start || !symbol) return [`${part.id} or ${from} is not drawn`];
      const reached = spread(
        runs.filter(({ net }) => net === from),
        start,
      );
      const arrives = reached.some(({ box }) =>
        contact
          ? touches(box, contact)
          : overlap(
              { x: box.x - 0.5, y: box.y - 0.5, width: box.width + 1, height: box.height + 1 },
              symbol.box,
            ),
      );
      return arrives ? [] : [`${from} does not reach ${part.id} ${index}`];
    }),
  );
}

/** Runs that hang together with a spot. */
function spread(runs: readonly Run[], start: Spot): Run[] {
  const reached = runs.filter(({ box }) => touches(box, start));
  for (const one of reached) {
    for (const other of runs) {
      if (reached.includes(other)) continue;
      const isTouching =
        one.box.x <= other.box.x + other.box.width &&
        other.box.x <= one.box.x + one.box.width &&
        one.box.y <= other.box.y + other.box.height &&
        other.box.y <= one.box.y + one.box.height;
      if (isTouching) reached.push(other);
    }
  }
  return reached;
}

describe.each(WIDTHS)('at %i wide', (width) => {
  test.each([true, false])('nothing overlaps and no wire is in the way, folded: %s', (isFolded) => {
    fc.assert(
      fc.property(sizes, (given) => {
        const wiring = generatedWiring(given);
        const folded = (_: string, count: number): string | null =>
          isFolded ? `${count} circuits` : null;
        const layout = layOut(wiring, { width, folded });
        expect(faultsOf(layout, wiring)).toEqual([]);
        expect(layout.symbols.length).toBe(
          wiring.parts.length + (isFolded ? 0 : wiring.circuits.length),
        );
        expect(layout.width).toBe(width);
      }),
      { numRuns: LAYOUTS },
    );
  });

  test.each(['sable-plover', 'willow-dipper'])('%s is drawn whole', (name) => {
    const url = new URL(`../../../simulator/boats/${name}.yaml`, import.meta.url);
    const { boat } = readBoat(readFileSync(url, 'utf8'), name);
    if (!boat) throw new Error(`${name} is not usable`);
    const wiring = wiringOf(createWatch(boat).evaluate(1000).panel);
    const layout = layOut(wiring, { width });
    expect(faultsOf(layout, wiring)).toEqual([]);
    const shortened = layout.labels.filter(({ lines }) => lines.join('').includes('…'));
    expect(shortened.map(({ full }) => full)).toEqual([]);
  });
});

test('a bank that is charged by the sun still stands above the selectors', () => {
  const url = new URL('../../../simulator/boats/sable-plover.yaml', import.meta.url);
  const { boat } = readBoat(readFileSync(url, 'utf8'), 'sable-plover');
  if (!boat) throw new Error('The demo boat is not usable');
  const { symbols } = layOut(wiringOf(createWatch(boat).evaluate(1000).panel), { width: 820 });
  const topOf = new Map(symbols.map(({ id, box }) => [id, box.y]));
  expect(topOf.get('solar-arch')).toBeLessThan(topOf.get('house-bank') ?? 0);
  expect(topOf.get('house-bank')).toBeLessThan(topOf.get('supply-selector') ?? 0);
});

test('sources stand above all that they can feed', () => {
  fc.assert(
    fc.property(sizes, (given) => {
      const wiring = generatedWiring(given);
      const { symbols } = layOut(wiring, { width: 820 });
      const topOf = new Map(symbols.map(({ id, box }) => [id, box.y]));
      for (const part of wiring.parts) {
        for (const { from } of part.inlets) {
          if (from !== null) expect(topOf.get(from)).toBeLessThan(topOf.get(part.id) ?? -1);
        }
      }
    }),
    { numRuns: 60 },
  );
});
