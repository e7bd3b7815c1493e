/** Whatever stands in the text: no throw, places inside the file, and a boat only if it is sound. */
import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Boat } from '../../../rules/boat/boat.ts';
import { readBoat } from '../../../rules/boat/read-boat.ts';
import { DEMO_BOATS, demoText } from './boat-texts.ts';

/** Every reference of a boat leads to a part of the right kind, every leg is one that is there. */
function expectSound(boat: Boat): void {
  const kindOf = (id: string | undefined): string | undefined =>
    id === undefined ? undefined : boat.parts.get(id)?.part;
  const upstream = ['source', 'selector', 'main switch', 'battery'];
  for (const { positions } of boat.selectors) {
    for (const from of positions.values())
      if (from !== null) expect(upstream).toContain(kindOf(from));
  }
  for (const { from } of [...boat.mainSwitches, ...boat.buses]) {
    expect(upstream).toContain(kindOf(from));
  }
  for (const circuit of boat.circuits) {
    expect(kindOf(circuit.bus)).toBe('bus');
    const bus = boat.buses.find(({ id }) => id === circuit.bus);
    expect(circuit.legs.length).toBeGreaterThan(0);
    for (const leg of circuit.legs) expect(bus?.legs).toContain(leg);
    expect(circuit.system).toBe(bus?.system);
    for (const id of [...circuit.requires, ...circuit.excludes]) expect(kindOf(id)).toBe('circuit');
  }
  for (const point of boat.points.values()) {
    expect(boat.parts.has(point.of)).toBe(true);
    expect(point.min).toBeLessThan(point.max);
    expect(point.expectedEveryMs).toBeGreaterThan(0);
  }
}

function expectToHold(text: string): void {
  const { boat, problems } = readBoat(text, 'b');
  const lines = text.split('\n');
  for (const { line, column, message } of problems) {
    expect(line).toBeGreaterThanOrEqual(1);
    expect(line).toBeLessThanOrEqual(lines.length);
    expect(column).toBeGreaterThanOrEqual(1);
    expect(column).toBeLessThanOrEqual((lines[line - 1]?.length ?? 0) + 1);
    expect(message).not.toMatch(/undefined|\[object/);
  }
  expect(boat === null).toBe(problems.some(({ severity }) => severity === 'error'));
  if (boat !== null) expectSound(boat);
}

const YAML_BITS = [
  ...Array.from('{}[]:,-?&*!|>#%@`\'"\\~<\t\n\r \u0000\u2028\ufeff'),
  '- ',
  ': ',
  '? ',
  '\n  ',
  '\n---\n',
  '...',
  '<<: ',
  '*a',
  '&a ',
  '!!map ',
  '%YAML 1.1\n',
  'boat:',
  'system: ',
  'sources',
  'null',
  '__proto__: ',
  'constructor: ',
  '1e999',
  '0x1f',
];
const yamlish = fc.array(fc.constantFrom(...YAML_BITS), { maxLength: 60 });

/** What somebody might write in place of anything else. */
const JUNK = [
  '',
  '~',
  'null',
  'true',
  'no',
  '[]',
  '{}',
  '[a, b]',
  '{ a: b }',
  '-1',
  '1e999',
  '.nan',
  '"11,8"',
  '50A',
  '12 kW',
  "''",
  'nothing',
  'shore',
  'dc-bus',
  'DC',
  'L1',
  'L9',
  '*a',
  '!x y',
  'toString',
  '__proto__',
  'constructor',
  String.raw`"\u0000"`,
  '99999999999999999999',
  '|',
];
const junk = fc.oneof(
  fc.constantFrom(...JUNK),
  fc.string({ unit: 'binary', maxLength: 12 }),
  fc.double().map(String),
);

/** A scalar after a colon, in a flow map or to the end of the line. */
const SCALAR = /(?<=: )[^{}[\],#\s][^,{}[\]#\n]*?(?=\s*[,}\]\n])/g;
const LINE = /^.+\n/gm;
/** A key with its value inside a flow map. */
const FLOW_KEY = /\b[a-zA-Z]+: (?:\{[^{}]*\}|\[[^[\]]*\]|[^,{}[\]\n]+),? ?(?=.*\}\n)/g;

function placesOf(pattern: RegExp, text: string): { from: number; to: number }[] {
  return [...text.matchAll(pattern)].map(({ index, 0: found }) => ({
    from: index,
    to: index + found.length,
  }));
}

describe('reading a boat', () => {
  it('takes any text', () => {
    fc.assert(fc.property(fc.string({ unit: 'binary', maxLength: 400 }), expectToHold), {
      numRuns: 500,
    });
  });

  it('takes anything that looks like YAML', () => {
    fc.assert(
      fc.property(
        yamlish.map((bits) => bits.join('')),
        expectToHold,
      ),
      { numRuns: 800 },
    );
  });

  it.each(DEMO_BOATS)('takes %s with any scalar replaced by junk', (name) => {
    const text = demoText(name);
    const places = placesOf(SCALAR, text);
    expect(places.length).toBeGreaterThan(200);
    fc.assert(
      fc.property(fc.constantFrom(...places), junk, ({ from, to }, other) => {
        expectToHold(text.slice(0, from) + other + text.slice(to));
      }),
      { numRuns: 80 },
    );
  });

  it.each(DEMO_BOATS)('takes %s with any key removed', (name) => {
    const text = demoText(name);
    const places = [...placesOf(LINE, text), ...placesOf(FLOW_KEY, text)];
    expect(places.length).toBeGreaterThan(200);
    fc.assert(
      fc.property(fc.constantFrom(...places), ({ from, to }) => {
        expectToHold(text.slice(0, from) + text.slice(to));
      }),
      { numRuns: 80 },
    );
  });

  it('takes a demo boat cut off anywhere', () => {
    const text = demoText('willow-dipper');
    fc.assert(
      fc.property(fc.nat(text.length), (end) => {
        expectToHold(text.slice(0, end));
      }),
      { numRuns: 80 },
    );
    expect(readBoat(text.slice(0, -100), 'b').boat).toBeNull();
  });

  it('takes a demo boat with Windows line ends, to the same boat', () => {
    const text = demoText('willow-dipper');
    const windows = readBoat(text.replaceAll('\n', '\r\n'), 'b');
    expect(windows.problems).toEqual([]);
    expect(windows.boat).toEqual(readBoat(text, 'b').boat);
    expect(readBoat(`\ufeff${text}`, 'b').boat).toEqual(windows.boat);
  });
});
