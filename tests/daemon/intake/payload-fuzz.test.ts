import * as fc from 'fast-check';
import { expect, test } from 'vitest';
import { decodePayload } from '../../../daemon/intake/decode-payload.ts';
import { planPoints } from '../../../daemon/intake/point-plan.ts';
import { REFUSALS } from '../../../daemon/intake/refusals.ts';
import { boatWith, point } from './boat-with-points.ts';

const SEED = 20_240_817;

const { byTopic } = planPoints(
  boatWith([
    point('plain', { address: { via: 'mqtt', topic: 't' } }),
    point('deep', { address: { via: 'mqtt', topic: 't', pointer: '/l1/v' } }),
    point('row', { address: { via: 'mqtt', topic: 't', pointer: '/list/0' } }),
    point('proto', { address: { via: 'mqtt', topic: 't', pointer: '/__proto__/v' } }),
    point('switch', {
      address: { via: 'mqtt', topic: 't', pointer: '/s' },
      quantity: 'switch',
      unit: '',
    }),
  ]),
);

const good = '{"l1":{"v":120.5},"list":[1,2],"s":"closed","__proto__":{"v":3}}';

/** A good payload with a few bytes replaced, removed or put in. */
const mutated = fc
  .array(
    fc.record({
      at: fc.nat(good.length),
      remove: fc.nat(3),
      insert: fc.uint8Array({ maxLength: 4 }),
    }),
    { minLength: 1, maxLength: 4 },
  )
  .map((edits) =>
    edits.reduce(
      (bytes, { at, remove, insert }) =>
        Buffer.concat([bytes.subarray(0, at), insert, bytes.subarray(at + remove)]),
      Buffer.from(good),
    ),
  );

const payload = fc.oneof(
  mutated,
  fc.uint8Array({ maxLength: 200 }),
  fc.json().map((text) => Buffer.from(text)),
  fc.string({ unit: 'binary', maxLength: 40 }).map((text) => Buffer.from(text)),
  fc.double().map((number) => Buffer.from(`{"l1":{"v":${number}}}`)),
);

const isPosition = (value: unknown): boolean =>
  ['closed', 'open', 'tripped'].some((word) => word === value);
const isInRange = (value: unknown): boolean =>
  typeof value === 'number' && value >= 0 && value <= 1000;

test('20,000 random and mutated payloads: only sound readings, only known reasons, no throw', () => {
  fc.assert(
    fc.property(payload, (bytes) => {
      const { readings, refusals } = decodePayload(byTopic, 't', bytes);
      for (const { pointId, value } of readings) {
        expect(pointId === 'switch' ? isPosition(value) : isInRange(value)).toBe(true);
      }
      for (const { reason } of refusals) expect(REFUSALS).toHaveProperty([reason]);
    }),
    { numRuns: 20_000, seed: SEED },
  );
  expect(({} as Record<string, unknown>)['v']).toBeUndefined();
});
