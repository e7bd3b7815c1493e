import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { ReadingBuffer, type StoredReading } from '../../../daemon/store/reading-buffer.ts';

const SEED = 20_251_125;
const CAPACITY = 12;

type Step =
  { do: 'add'; reading: StoredReading } | { do: 'write'; count: number } | { do: 'give up' };

const step: fc.Arbitrary<Step> = fc.oneof(
  {
    weight: 8,
    arbitrary: fc.record({
      do: fc.constant('add' as const),
      reading: fc.record({
        pointId: fc.constantFrom('a', 'b', 'c'),
        atMs: fc.nat(20),
        value: fc.oneof(fc.double({ noNaN: true, noDefaultInfinity: true }), fc.constant('open')),
      }),
    }),
  },
  { weight: 2, arbitrary: fc.record({ do: fc.constant('write' as const), count: fc.nat(8) }) },
  { weight: 1, arbitrary: fc.constant({ do: 'give up' as const }) },
);

/** The plainest buffer that could be: a list, looked through from end to end. */
class PlainBuffer {
  readings: StoredReading[] = [];
  lost = 0;

  add(reading: StoredReading): void {
    const { pointId, atMs } = reading;
    if (this.readings.some((own) => own.pointId === pointId && own.atMs === atMs)) return;
    this.readings.push(reading);
    if (this.readings.length <= CAPACITY) return;
    this.readings.shift();
    this.lost += 1;
  }
}

test('3,000 stories of late, doubled, written and lost readings: as a plain list has it', () => {
  fc.assert(
    fc.property(fc.array(step, { maxLength: 60 }), (steps) => {
      const buffer = new ReadingBuffer(CAPACITY);
      const plain = new PlainBuffer();
      for (const each of steps) {
        if (each.do === 'add') {
          buffer.add(each.reading);
          plain.add(each.reading);
        } else if (each.do === 'write') {
          buffer.remove(buffer.oldest(each.count));
          plain.readings.splice(0, each.count);
        } else {
          buffer.giveUp();
          plain.lost += plain.readings.splice(0).length;
        }
        expect(buffer.oldest(Infinity)).toEqual(plain.readings);
        expect([buffer.size, buffer.lost]).toEqual([plain.readings.length, plain.lost]);
      }
    }),
    { numRuns: 3000, seed: SEED },
  );
});

describe('what it refuses', () => {
  test('removing what is not the oldest is a mistake of the program', () => {
    const buffer = new ReadingBuffer(CAPACITY);
    for (const atMs of [1, 2, 3]) buffer.add({ pointId: 'a', atMs, value: atMs });
    expect(() => buffer.remove([{ pointId: 'a', atMs: 2, value: 2 }])).toThrow(RangeError);
    const [first] = buffer.oldest(1);
    if (first) expect(() => buffer.remove([first, first, first, first])).toThrow(RangeError);
    expect(buffer.size).toBe(3);
  });

  test.each([NaN, Infinity])('a value of %d is lost and counted', (value) => {
    const buffer = new ReadingBuffer(CAPACITY);
    buffer.add({ pointId: 'a', atMs: 1, value });
    expect([buffer.size, buffer.lost]).toEqual([0, 1]);
  });
});
