/** Bytes and back: every reading comes out with every bit it had, and damage never goes unseen. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ByteSink, ByteSource, DamagedBytes } from '../../../../daemon/store/history/bytes.ts';
import {
  merged,
  packTimes,
  packValues,
  unpackTimes,
  unpackValues,
} from '../../../../daemon/store/history/chunk.ts';
import {
  INTEGER_MAX,
  packIntegers,
  unpackIntegers,
} from '../../../../daemon/store/history/integers.ts';
import { sealed, unsealed } from '../../../../daemon/store/history/sealed.ts';
import { START_MS } from '../fixtures.ts';

const efforts = ['short', 'long'] as const;

/** Equal as bits: 0 and -0 differ. */
function expectSameBits(found: ArrayLike<unknown>, given: ArrayLike<unknown>): void {
  expect(found.length).toBe(given.length);
  for (let at = 0; at < given.length; at++) {
    if (!Object.is(found[at], given[at])) expect([at, found[at]]).toEqual([at, given[at]]);
  }
}

function expectRoundTrip(values: readonly (number | string)[]): void {
  for (const effort of efforts) {
    const packed = packValues(values, effort);
    expectSameBits(unpackValues(packed, values.length), values);
  }
}

const anyDouble = fc.double({ noNaN: true, noDefaultInfinity: true });
const sensorNumber = fc.tuple(fc.integer({ min: -1e7, max: 1e7 }), fc.integer({ min: 0, max: 6 }));

describe('values', () => {
  it('come back bit for bit: any finite double', () => {
    fc.assert(fc.property(fc.array(anyDouble, { maxLength: 200 }), expectRoundTrip), {
      numRuns: 500,
    });
  });

  it('come back bit for bit: decimals with a strange one here and there', () => {
    const column = fc.array(
      fc.oneof(
        { weight: 20, arbitrary: sensorNumber.map(([whole, places]) => whole / 10 ** places) },
        { weight: 1, arbitrary: anyDouble },
      ),
      { maxLength: 400 },
    );
    fc.assert(fc.property(column, expectRoundTrip), { numRuns: 300 });
  });

  it('come back bit for bit: few different doubles that are no decimals', () => {
    const kelvins = fc.integer({ min: 27_000, max: 27_040 }).map((raw) => raw / 100 - 273.15);
    fc.assert(fc.property(fc.array(kelvins, { maxLength: 400 }), expectRoundTrip), {
      numRuns: 200,
    });
  });

  it('come back bit for bit: words, and words among numbers', () => {
    const word = fc.oneof(fc.constantFrom('closed', 'open', 'tripped', ''), fc.string());
    const column = fc.array(fc.oneof(word, anyDouble), { maxLength: 100 });
    fc.assert(fc.property(column, expectRoundTrip), { numRuns: 300 });
  });

  it.each([
    ['none', []],
    ['one', [12.61]],
    ['zeros of both signs', [0, -0, 0, -0, -0]],
    ['the ends of doubles', [Number.MAX_VALUE, Number.MIN_VALUE, -Number.MAX_VALUE, 5e-324]],
    ['the ends of whole numbers', [2 ** 50, -(2 ** 50), 2 ** 53, -(2 ** 53), 2 ** 51 + 1]],
    ['large beside fine', [123_456_789_012, 0.000_000_001, 123_456_789_012.25]],
  ])('come back bit for bit: %s', (_name, values) => {
    expectRoundTrip(values);
    expect(packValues(values, 'long').length).toBeGreaterThan(0);
  });
});

describe('whole numbers', () => {
  it('come back from any column within their bound', () => {
    const column = fc.array(
      fc.oneof(
        fc.integer({ min: -3, max: 3 }),
        fc.integer(),
        fc.maxSafeInteger().map((any) => Math.floor(any / 8)),
        fc.constantFrom(INTEGER_MAX, -INTEGER_MAX),
      ),
      { maxLength: 300 },
    );
    fc.assert(
      fc.property(column, fc.constantFrom(...efforts), (given, effort) => {
        const sink = new ByteSink();
        packIntegers(sink, given, effort);
        expect([...unpackIntegers(new ByteSource(sink.taken()), given.length)]).toEqual(given);
      }),
      { numRuns: 500 },
    );
  });

  it('that do not change cost a few bytes, however many they are', () => {
    const sink = new ByteSink();
    packIntegers(sink, new Float64Array(3600).fill(12_345), 'long');
    expect(sink.length).toBeLessThan(10);
  });
});

describe('instants', () => {
  it('come back to the millisecond', () => {
    const steps = fc.array(fc.oneof(fc.constant(1000), fc.integer({ min: 1, max: 60_000 })), {
      maxLength: 300,
    });
    fc.assert(
      fc.property(steps, fc.constantFrom(...efforts), (given, effort) => {
        const times: number[] = [];
        for (const step of given) times.push((times.at(-1) ?? START_MS) + step);
        expect([...unpackTimes(packTimes(times, START_MS, effort), START_MS)]).toEqual(times);
      }),
      { numRuns: 300 },
    );
  });

  it('at a strict rhythm cost a few bytes an hour', () => {
    const times = Array.from({ length: 3600 }, (_, second) => START_MS + 417 + second * 1000);
    expect(packTimes(times, START_MS, 'long').length).toBeLessThan(16);
  });
});

describe('two columns of one point', () => {
  it('become one in order of time, in which the first stands where both speak', () => {
    const column = fc
      .uniqueArray(fc.integer({ min: 0, max: 60 }), { maxLength: 40 })
      .map((times) => times.sort((a, b) => a - b));
    fc.assert(
      fc.property(column, column, (first, second) => {
        const found = merged(
          { times: first, values: first.map(() => 'first') },
          { times: second, values: second.map(() => 'second') },
        );
        const expected = [...new Set([...first, ...second])].sort((a, b) => a - b);
        expect(Array.from(found.times)).toEqual(expected);
        expect(Array.from(found.values)).toEqual(
          expected.map((atMs) => (first.includes(atMs) ? 'first' : 'second')),
        );
      }),
    );
  });
});

describe('damage', () => {
  const body = packValues([1.5, 2.5, 'open', 2.5], 'long');

  it('of any one bit is seen, and so is a blob in another row', () => {
    const whole = sealed(body, 77);
    expect([...unsealed(whole, 77)]).toEqual([...body]);
    expect(() => unsealed(whole, 78)).toThrow(DamagedBytes);
    expect(() => unsealed(whole.subarray(0, 3), 77)).toThrow(DamagedBytes);
    for (let bit = 0; bit < whole.length * 8; bit++) {
      const turned = Buffer.from(whole);
      turned[bit >> 3] = (turned[bit >> 3] ?? 0) ^ (1 << (bit & 7));
      expect(() => unsealed(turned, 77)).toThrow(DamagedBytes);
    }
  });

  it('that the checksum would miss throws nothing but DamagedBytes', () => {
    const given = fc.array(fc.oneof(anyDouble, fc.integer({ min: 0, max: 9 })), { minLength: 1 });
    const change = fc.record({ at: fc.nat(), byte: fc.nat(255), cut: fc.nat(3) });
    fc.assert(
      fc.property(given, change, ({ length, ...values }, { at, byte, cut }) => {
        const bytes = packValues(Object.assign([], values, { length }), 'long').slice();
        bytes[at % bytes.length] = byte;
        try {
          unpackValues(bytes.subarray(0, bytes.length - cut), length);
        } catch (error) {
          expect(error).toBeInstanceOf(DamagedBytes);
        }
      }),
      { numRuns: 2000 },
    );
  });
});
