/** Volts across both legs may be measured where a part has two; nothing else may be, across them. */
import { expect, test } from 'vitest';
import { boatOf, linesOf } from './boat-texts.ts';

const withPoint = (point: string): string => `
boat: { name: Heron }
system:
  ac: { kind: split phase, volts: 120, hertz: 60, legs: [L1, L2] }
sources:
  shore: { kind: shore inlet, amps: 50 }
buses:
  panel: { from: shore, amps: 50 }
circuits:
  heater: { bus: panel, leg: L1, breaker: { amps: 10 }, load: resistive }
points:
  own: { of: shore, leg: L1, quantity: volts, mqtt: { topic: ac/shore, pointer: /1 } }
  across: ${point}
intake:
  mqtt: { broker: embedded, port: 1883 }
`;

test('volts across both legs stand beside those of each leg', () => {
  const boat = boatOf(withPoint('{ of: shore, leg: L1-L2, quantity: volts, mqtt: { topic: x } }'));
  expect(boat.points.get('across')).toMatchObject({ leg: 'L1-L2', quantity: 'volts' });
  expect(boat.points.get('across')?.max).toBeGreaterThan(250);
});

test.each([
  ['{ of: shore, leg: L1-L2, quantity: amps, mqtt: { topic: x } }', 'amperes run on one leg'],
  ['{ of: shore, leg: L2-L1, quantity: volts, mqtt: { topic: x } }', 'the other way round'],
])('%s is an error: %s', (point) => {
  expect(linesOf(withPoint(point)).join('\n')).toMatch(/`leg` must name a leg/);
});
