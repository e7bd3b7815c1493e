import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { createPacketFilter } from '../../../daemon/intake/packet-filter.ts';
import { publishPacket } from './mqtt-bytes.ts';

/** Runs the filter over a stream cut into chunks of the given sizes, over and over. */
function filtered(stream: Buffer, mostBytes: number, cuts: readonly number[]) {
  const oversize: number[] = [];
  const filter = createPacketFilter(mostBytes, (bytes) => oversize.push(bytes));
  const kept: Buffer[] = [];
  for (let at = 0, turn = 0; at < stream.length; turn += 1) {
    const size = cuts[turn % cuts.length] ?? stream.length;
    kept.push(...filter.pass(stream.subarray(at, at + size)));
    at += size;
  }
  return { kept: Buffer.concat(kept), oversize };
}

describe('remaining length', () => {
  // MQTT 3.1.1 Table 2.4, "Size of Remaining Length field": first and last value of each row.
  test.each([
    ['7f', 127],
    ['8001', 128],
    ['ff7f', 16_383],
    ['808001', 16_384],
    ['ffff7f', 2_097_151],
    ['80808001', 2_097_152],
    ['ffffff7f', 268_435_455],
  ])('%s announces %i bytes', (hex, bytes) => {
    const header = Buffer.concat([Buffer.from([0x30]), Buffer.from(hex, 'hex')]);
    expect(filtered(header, bytes - 1, [1]).oversize).toEqual([bytes]);
    expect(filtered(header, bytes, [1])).toEqual({ kept: header, oversize: [] });
  });
});

test('small packets pass whole and large ones vanish whole, however the stream is cut', () => {
  const packet = fc
    .tuple(fc.integer({ min: 0, max: 400 }), fc.integer({ min: 1, max: 20 }))
    .map(([bytes, topic]) => publishPacket('t'.repeat(topic), Buffer.alloc(bytes, 0x82)));
  fc.assert(
    fc.property(
      fc.array(packet, { minLength: 1, maxLength: 12 }),
      fc.array(fc.integer({ min: 1, max: 64 }), { minLength: 1, maxLength: 8 }),
      (packets, cuts) => {
        const isSmall = (one: Buffer): boolean => one.length - (one.length > 129 ? 3 : 2) <= 200;
        const { kept, oversize } = filtered(Buffer.concat(packets), 200, cuts);
        expect(kept).toEqual(Buffer.concat(packets.filter(isSmall)));
        expect(oversize).toHaveLength(packets.filter((one) => !isSmall(one)).length);
      },
    ),
  );
});

test('any bytes pass the same, however they are cut, and whole chunks pass as they are', () => {
  fc.assert(
    fc.property(
      fc.uint8Array({ maxLength: 600 }),
      fc.array(fc.integer({ min: 1, max: 64 }), { minLength: 1, maxLength: 8 }),
      (bytes, cuts) => {
        const stream = Buffer.from(bytes);
        const one = filtered(stream, 60, [1]);
        expect(filtered(stream, 60, cuts)).toEqual(one);
      },
    ),
  );
  const packets = Buffer.concat([1, 2, 3].map((size) => publishPacket('t', Buffer.alloc(size))));
  expect(createPacketFilter(60, () => {}).pass(packets)).toEqual([packets]);
});

test('a length that never ends is passed on for the parser to refuse', () => {
  const stream = Buffer.from('30ffffffffff', 'hex');
  const { kept } = filtered(stream, 2 ** 40, [1]);
  expect(kept.subarray(0, 5)).toEqual(stream.subarray(0, 5));
});
