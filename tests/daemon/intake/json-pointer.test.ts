import * as fc from 'fast-check';
import jsonpointer from 'jsonpointer';
import { describe, expect, test } from 'vitest';
import { findByPointer, parsePointer } from '../../../daemon/intake/json-pointer.ts';

const find = (root: unknown, pointer: string): unknown =>
  findByPointer(root, parsePointer(pointer));

describe('the example document of RFC 6901 section 5', () => {
  // From memory of the RFC: the document and its table of pointers with their values.
  const document: unknown = JSON.parse(
    String.raw`{"foo":["bar","baz"],"":0,"a/b":1,"c%d":2,"e^f":3,"g|h":4,"i\\j":5,"k\"l":6," ":7,"m~n":8}`,
  );
  test.each([
    ['', document],
    ['/foo', ['bar', 'baz']],
    ['/foo/0', 'bar'],
    ['/', 0],
    ['/a~1b', 1],
    ['/c%d', 2],
    ['/e^f', 3],
    ['/g|h', 4],
    [String.raw`/i\j`, 5],
    ['/k"l', 6],
    ['/ ', 7],
    ['/m~0n', 8],
  ])('%j', (pointer, value) => {
    expect(find(document, pointer)).toEqual(value);
  });
});

describe('what the RFC rules out finds nothing', () => {
  test.each<[unknown, string, string]>([
    [{ a: [5] }, '/a/00', 'leading zero, section 4'],
    [{ a: [5] }, '/a/-', 'past the end'],
    [{ a: [5] }, '/a/1', 'past the end'],
    [{ a: [5] }, '/a/length', 'not an index'],
    [{ a: 'text' }, '/a/0', 'into a text'],
    [{ a: null }, '/a/b', 'into null'],
    [5, '/a', 'into a number'],
    [{}, '/toString', 'inherited'],
    [{}, '/constructor/prototype', 'inherited'],
    [{}, '/__proto__', 'inherited'],
    [{}, '/__proto__/__proto__', 'inherited'],
  ])('%j %s (%s)', (root, pointer) => {
    expect(find(root, pointer)).toBeUndefined();
  });

  test('an own member called __proto__ is a member like any other', () => {
    expect(find(JSON.parse('{"__proto__":{"v":3}}'), '/__proto__/v')).toBe(3);
  });

  test.each(['foo', '/a~2', '/a~', '#/foo'])('%j is no pointer', (pointer) => {
    expect(() => parsePointer(pointer)).toThrow(RangeError);
  });

  test('~01 is ~1, not a slash (section 4)', () => {
    expect(parsePointer('/~01')).toEqual(['~1']);
  });
});

test('agrees with the jsonpointer package on every own member of random documents', () => {
  const key = fc.stringMatching(/^[a-z~/0-9]{0,3}$/);
  const { tree } = fc.letrec<{ tree: unknown }>((tie) => ({
    tree: fc.oneof(
      { maxDepth: 4 },
      fc.integer(),
      fc.dictionary(key, tie('tree'), { maxKeys: 4, noNullPrototype: true }),
      fc.array(tie('tree'), { maxLength: 4 }),
    ),
  }));
  fc.assert(
    fc.property(tree, fc.array(key, { maxLength: 5 }), (root, tokens) => {
      fc.pre(typeof root === 'object' && root !== null);
      const pointer = tokens
        .map((token) => `/${token.replaceAll('~', '~0').replaceAll('/', '~1')}`)
        .join('');
      // The package takes `01` for an index; the RFC does not.
      fc.pre(!tokens.some((token) => /^0\d/.test(token)));
      expect(find(root, pointer)).toEqual(jsonpointer.get(root, pointer));
    }),
    { numRuns: 2_000 },
  );
});
