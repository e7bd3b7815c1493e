import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { loopsAmong, loopWords } from '../../../rules/boat/loops.ts';

const NAMES = ['a', 'b', 'c', 'd', 'e', 'f'];
const graph = fc
  .array(fc.subarray(NAMES, { maxLength: 3 }), {
    minLength: NAMES.length,
    maxLength: NAMES.length,
  })
  .map((lists) => new Map(NAMES.map((name, index) => [name, lists[index] ?? []])));

/** Another way to the same answer: who can reach itself, by Warshall's closure. */
function canReachItself(next: ReadonlyMap<string, readonly string[]>): Set<string> {
  const reach = new Set([...next].flatMap(([from, list]) => list.map((to) => `${from}${to}`)));
  for (const middle of NAMES) {
    for (const from of NAMES) {
      for (const to of NAMES) {
        if (reach.has(from + middle) && reach.has(middle + to)) reach.add(from + to);
      }
    }
  }
  return new Set(NAMES.filter((name) => reach.has(name + name)));
}

describe('loops', () => {
  it('are found exactly where something leads back to itself', () => {
    fc.assert(
      fc.property(graph, (next) => {
        const loops = loopsAmong(NAMES, (name) => next.get(name) ?? []);
        const looping = canReachItself(next);
        expect(loops.length > 0).toBe(looping.size > 0);
        for (const loop of loops) {
          for (const [index, name] of loop.entries()) {
            expect(next.get(name)).toContain(loop[(index + 1) % loop.length]);
          }
        }
      }),
      { numRuns: 500 },
    );
  });

  it('are shown from end to end, long ones without their middle', () => {
    expect(loopWords(['a', 'b'])).toBe('a -> b -> a');
    expect(loopWords(Array.from('abcdefghijklmno'))).toBe(
      'a -> b -> c -> d -> e -> f -> g -> h -> … -> o -> a',
    );
  });

  it('are found in a chain as long as a file can hold', () => {
    const long = Array.from({ length: 50_000 }, (_, index) => `n${index}`);
    const next = new Map(long.map((name, index) => [name, [long[index + 1] ?? 'n0']]));
    const [loop] = loopsAmong(long, (name) => next.get(name) ?? []);
    expect(loop).toHaveLength(50_000);
  });
});
