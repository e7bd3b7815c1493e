import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { manualClock } from '../../../daemon/clock.ts';
import { decodePayload } from '../../../daemon/intake/decode-payload.ts';
import { createCounters } from '../../../daemon/intake/intake-counters.ts';
import { createMessageIntake } from '../../../daemon/intake/message-intake.ts';
import { plainDecimal } from '../../../daemon/intake/plain-decimal.ts';
import { planPoints } from '../../../daemon/intake/point-plan.ts';
import type { Point, Reading, Silence } from '../../../rules/index.ts';
import { boatWith, point } from './boat-with-points.ts';
import { gather } from './gathering.ts';

const SEED = 20_251_125;
const RUNS = 20_000;
const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);

const digits = fc.stringMatching(/^\d{0,17}$/);
const decimal = fc
  .tuple(fc.constantFrom('', '', '-', '+'), digits, fc.constantFrom('', '.', '.'), digits)
  .map((parts) => parts.join(''));

// IEEE 754 and ECMA-262's StringToNumber: the double nearest to the decimal. `Number` is the witness.
test('20,000 decimals: the very double that their text stands for, or nothing', () => {
  let found = 0;
  fc.assert(
    fc.property(decimal, (text) => {
      const value = plainDecimal(bytes(text));
      if (value === null) return;
      found += 1;
      expect(text).toMatch(/^[+-]?(?:\d+\.?\d*|\.\d+)$/);
      expect(value).toBe(Number(text));
    }),
    { numRuns: RUNS, seed: SEED },
  );
  expect(found).toBeGreaterThan(RUNS / 20);
});

test.each(['', '-', '+', '.', '-.', '1e3', '0x1f', ' 1', '1 ', '1,5', '1.2.3', '--1', 'nan', '٣'])(
  '"%s" is left to the text',
  (text) => expect(plainDecimal(bytes(text))).toBeNull(),
);

test('fifteen digits are read, sixteen are not; minus zero keeps its sign', () => {
  expect(plainDecimal(bytes('123456789.012345'))).toBe(123456789.012345);
  expect(plainDecimal(bytes('123456789.0123456'))).toBeNull();
  expect(plainDecimal(bytes('-0.00'))).toBe(-0);
});

describe('a message is heard as decoding its text has it', () => {
  const variants: Partial<Point>[] = [
    {},
    { unit: 'mV', scale: 1000, offset: -3, sign: -1, min: -500 },
    { quantity: 'celsius', unit: 'F', scale: 0.1, min: -50 },
    { quantity: 'switch', unit: '', words: new Map([['1', 'closed']]) },
    { address: { via: 'mqtt', topic: 't', pointer: '/v' } },
  ];
  const payload = fc.oneof(
    decimal,
    fc.double().map(String),
    fc.constantFrom('1', 'null', '007.50', '-5', '1e400', '12,5', 'ON', '{"v":3}', '\u{FEFF}7'),
    fc.string({ unit: 'binary', maxLength: 12 }),
  );

  test.each(variants)('%o', (over) => {
    const boat = boatWith([point('p', { address: { via: 'mqtt', topic: 't' }, ...over })]);
    const { byTopic } = planPoints(boat);
    fc.assert(
      fc.property(payload, (text) => {
        const heard: (Reading | Silence)[] = [];
        const clock = manualClock(5);
        const counters = createCounters(clock, gather().log);
        createMessageIntake({
          byTopic,
          clock,
          counters,
          channel: { messages: 0, readings: 0 },
          onReading: (input) => heard.push(input),
        }).take({ topic: 't', payload: bytes(text), mayBeRepeat: false, isRestored: false });
        const { readings, silences, refusals } = decodePayload(byTopic, 't', bytes(text));
        expect(heard).toEqual([
          ...readings.map(({ pointId, value }) => ({ pointId, value, atMs: 5 })),
          ...silences.map((pointId) => ({ pointId, atMs: 5, isSilent: true })),
        ]);
        expect(counters.refused().map(({ reason }) => reason)).toEqual(
          refusals.map(({ reason }) => reason),
        );
      }),
      { numRuns: RUNS / 10, seed: SEED },
    );
  });
});
