import { describe, expect, test } from 'vitest';
import { decodePayload, type Decoded } from '../../../daemon/intake/decode-payload.ts';
import { planPoints } from '../../../daemon/intake/point-plan.ts';
import type { Point } from '../../../rules/index.ts';
import { boatWith, point } from './boat-with-points.ts';

const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);

/** Decodes one payload for one point on topic `t`. */
function decode(payload: string | Uint8Array, over: Partial<Point> = {}): Decoded {
  const { byTopic } = planPoints(boatWith([point('p', { address: at(), ...over })]));
  return decodePayload(byTopic, 't', typeof payload === 'string' ? bytes(payload) : payload);
}
const at = (pointer?: string): Point['address'] =>
  pointer === undefined ? { via: 'mqtt', topic: 't' } : { via: 'mqtt', topic: 't', pointer };

/** The reading's value, `null` for a silence, or the reason of the one refusal. */
function outcome({ readings, silences, refusals }: Decoded): unknown {
  expect(readings.length + silences.length + refusals.length).toBe(1);
  return readings[0]?.value ?? refusals[0]?.reason ?? null;
}

describe('a plain payload', () => {
  test.each<[string, unknown]>([
    ['12.5', 12.5],
    [' 12.5\n', 12.5],
    ['+12', 12],
    ['.5', 0.5],
    ['5.', 5],
    ['1e2', 100],
    ['0', 0],
    ['-0', 0],
    ['null', null],
    ['12,5', 'decimal comma'],
    ['-12,5', 'decimal comma'],
    ['', 'empty payload'],
    [' \n', 'empty payload'],
    ['1e999', 'not finite'],
    ['nan', 'not finite'],
    ['-inf', 'not finite'],
    ['Infinity', 'not finite'],
    ['0x10', 'not a number'],
    ['1 2', 'not a number'],
    ['12.5 V', 'not a number'],
    ['1,234.5', 'not a number'],
    ['true', 'not a number'],
    ['"12.5"', 'not a number'],
    ['{"v":12.5}', 'not a number'],
    ['toString', 'not a number'],
    ['-1', 'impossible value'],
    ['1000', 1000],
    ['1000.0001', 'impossible value'],
    ['9007199254740993', 'impossible value'],
  ])('%j', (payload, expected) => {
    expect(outcome(decode(payload))).toBe(expected);
  });

  test('minus zero is zero', () => {
    expect(Object.is(decode('-0').readings[0]?.value, 0)).toBe(true);
  });
});

describe('a value in JSON', () => {
  test.each<[string, unknown]>([
    ['{"v":12.5}', 12.5],
    ['{"v":"12.5"}', 12.5],
    ['{"v":" 12.5 "}', 12.5],
    ['{"v":"1 2.5"}', 'not a number'],
    ['{"v":1,"v":2}', 2],
    ['{"v":null}', null],
    ['{"v":"12,5"}', 'decimal comma'],
    ['{"v":1e999}', 'not finite'],
    ['{"v":-1e999}', 'not finite'],
    ['{"v":"NaN"}', 'not finite'],
    ['{"v":1e308}', 'impossible value'],
    ['{"v":true}', 'not a number'],
    ['{"v":""}', 'not a number'],
    ['{"v":[12.5]}', 'not a number'],
    ['{"v":{"v":12.5}}', 'not a number'],
    ['{"w":12.5}', 'pointer finds nothing'],
    ['{}', 'pointer finds nothing'],
    ['[]', 'pointer finds nothing'],
    ['null', 'pointer finds nothing'],
    ['12.5', 'pointer finds nothing'],
    ['{"v":NaN}', 'not JSON'],
    ['{"v":Infinity}', 'not JSON'],
    ['{"v":12,5}', 'not JSON'],
    ["{'v':12.5}", 'not JSON'],
    ['{"v":12.5', 'not JSON'],
    ['', 'empty payload'],
  ])('%j', (payload, expected) => {
    expect(outcome(decode(payload, { address: at('/v') }))).toBe(expected);
  });

  test('the empty pointer is the whole document', () => {
    expect(outcome(decode('12.5', { address: at('') }))).toBe(12.5);
  });
});

describe('arithmetic', () => {
  test('scale, then offset, then the base unit, then sign', () => {
    const over: Partial<Point> = { quantity: 'amps', unit: 'mA', min: -100, max: 100 };
    expect(outcome(decode('11800', over))).toBeCloseTo(11.8, 12);
    expect(outcome(decode('5', { ...over, scale: 1000, offset: 200, sign: -1 }))).toBeCloseTo(
      -5.2,
      12,
    );
  });

  test.each([
    // Fixed points of the scales: water freezes and boils at these, by definition of the units.
    ['32', 'F', 0],
    ['212', 'F', 100],
    ['273.15', 'K', 0],
    ['373.15', 'K', 100],
    ['25', 'C', 25],
  ])('%s %s', (payload, unit, celsius) => {
    const over: Partial<Point> = { quantity: 'celsius', unit, min: -60, max: 200 };
    expect(outcome(decode(payload, over))).toBeCloseTo(celsius, 9);
  });

  test.each([
    ['watts told as kilowatts', { quantity: 'watts', unit: 'kW', max: 30_000 }, '1500'],
    ['milliamperes told as amperes', { quantity: 'amps', unit: 'A' }, '11800'],
    ['a state of charge in percent', { quantity: 'stateOfCharge', unit: 'ratio', max: 1 }, '81'],
    ['kelvin told as degrees', { quantity: 'celsius', unit: 'C', max: 200 }, '298.15'],
  ] as const)('%s is impossible', (_mistake, over, payload) => {
    expect(outcome(decode(payload, over))).toBe('impossible value');
  });

  test('a result too large for a number is not finite', () => {
    expect(outcome(decode('1e308', { scale: 1e9 }))).toBe('not finite');
  });

  test('limits hold after the sign', () => {
    const over: Partial<Point> = { quantity: 'amps', unit: 'A', min: 0, max: 100, sign: -1 };
    expect(outcome(decode('-40', over))).toBe(40);
    expect(outcome(decode('40', over))).toBe('impossible value');
  });
});

describe('words', () => {
  const words = new Map([
    ['ON', 'closed'],
    ['0', 'open'],
    ['true', 'closed'],
  ]);
  const over: Partial<Point> = { quantity: 'switch', unit: '', words };

  test.each([
    ['ON', 'closed'],
    ['0', 'open'],
    ['true', 'closed'],
    ['on', 'unknown word'],
    ['', 'empty payload'],
    ['null', null],
    ['constructor', 'unknown word'],
    ['__proto__', 'unknown word'],
  ])('plain %j', (payload, expected) => {
    expect(outcome(decode(payload, over))).toBe(expected);
  });

  test.each<[string, unknown]>([
    ['{"v":true}', 'closed'],
    ['{"v":0}', 'open'],
    ['{"v":"0"}', 'open'],
    ['{"v":false}', 'unknown word'],
    ['{"v":["ON"]}', 'unknown word'],
    ['{"v":null}', null],
  ])('JSON %s', (payload, expected) => {
    expect(outcome(decode(payload, { ...over, address: at('/v') }))).toBe(expected);
  });

  test('without words a switch takes its positions, a selector those of the boat file', () => {
    const bare: Partial<Point> = { quantity: 'switch', unit: '' };
    expect(outcome(decode('tripped', bare))).toBe('tripped');
    expect(outcome(decode('SHORE', bare))).toBe('unknown word');
    const selector: Partial<Point> = { quantity: 'position', unit: '', of: 'supply' };
    expect(outcome(decode('SHORE', selector))).toBe('SHORE');
    expect(outcome(decode('closed', selector))).toBe('unknown word');
  });
});

describe('bytes', () => {
  const largest = 64 * 1024;
  test.each<[string, Uint8Array, unknown]>([
    ['64 KiB', bytes('1'.padEnd(largest)), 1],
    ['one byte more', bytes('1'.padEnd(largest + 1)), 'payload too large'],
    ['not UTF-8', Uint8Array.of(0xc3, 0x28), 'not UTF-8'],
    ['a surrogate in UTF-8', Uint8Array.of(0xed, 0xa0, 0x80), 'not UTF-8'],
    ['a byte order mark', Uint8Array.of(0xef, 0xbb, 0xbf, 0x35), 5],
    ['a float as bytes', new Uint8Array(new Float32Array([12.5]).buffer), 'not a number'],
  ])('%s', (_what, payload, expected) => {
    expect(outcome(decode(payload))).toBe(expected);
  });

  test.each<[string, string, unknown]>([
    ['32 levels', `${'['.repeat(31)}{"v":1}${']'.repeat(31)}`, 'pointer finds nothing'],
    ['33 levels', `${'['.repeat(32)}{"v":1}${']'.repeat(32)}`, 'too deep'],
    ['64 Ki brackets', '['.repeat(largest), 'too deep'],
    ['brackets in a text', `{"x":"${'['.repeat(99)}\\"${'{'.repeat(99)}","v":7}`, 7],
    ['64 KiB of quotes', '\\"'.repeat(largest / 2), 'not JSON'],
  ])('%s', (_what, payload, expected) => {
    expect(outcome(decode(payload, { address: at('/v') }))).toBe(expected);
  });
});

describe('many points on one topic', () => {
  const { byTopic } = planPoints(
    boatWith([
      point('first', { address: at('/l1/v') }),
      point('second', { address: at('/l2/v') }),
      point('third', { address: at('/l3/v') }),
      point('whole', { address: at() }),
    ]),
  );

  test('one payload serves them all, and one mistake costs only its own point', () => {
    const decoded = decodePayload(
      byTopic,
      't',
      bytes('{"l1":{"v":1},"l2":{"v":"x"},"l3":{"v":null}}'),
    );
    expect(decoded.readings).toEqual([{ pointId: 'first', value: 1 }]);
    expect(decoded.silences).toEqual(['third']);
    expect(decoded.refusals).toEqual([
      { reason: 'not a number', pointId: 'whole', found: expect.stringContaining('{"l1"') },
      { reason: 'not a number', pointId: 'second', found: 'x' },
    ]);
  });

  test('a topic of no point is not mapped, whatever its name', () => {
    for (const topic of ['elsewhere', '', '__proto__', 'constructor', 'toString']) {
      expect(decodePayload(byTopic, topic, bytes('1'))).toEqual({
        isMapped: false,
        readings: [],
        silences: [],
        refusals: [],
      });
    }
  });
});

test('hostile keys change nothing for anybody else', () => {
  const payload =
    '{"__proto__":{"v":1,"admin":true},"constructor":{"prototype":{"admin":true}},"toString":1}';
  for (const pointer of ['/__proto__/v', '/constructor/prototype/admin', '/toString', '/v']) {
    decode(payload, { address: at(pointer) });
  }
  expect(outcome(decode(payload, { address: at('/v') }))).toBe('pointer finds nothing');
  expect(({} as Record<string, unknown>)['admin']).toBeUndefined();
});

test('what was found is short and printable in a refusal', () => {
  const [refusal] = decode(`\u001b[31m${'x'.repeat(99)}\u2028`).refusals;
  expect(refusal?.found).toMatch(/^\u{FFFD}\[31mx{35}…$/u);
});
