import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { doPatternsOverlap } from '../../../rules/boat/source-patterns.ts';

/** Every name of up to eight letters `a` and `b`: two patterns of four signs need no longer one. */
const NAMES = [...namesUpTo(8)];

function* namesUpTo(length: number): Generator<string> {
  yield '';
  if (length === 0) return;
  for (const rest of namesUpTo(length - 1)) for (const letter of 'ab') yield letter + rest;
}

/** The same pattern in the language of regular expressions. */
function regexOf(pattern: string): RegExp {
  return new RegExp(`^${pattern.replaceAll('*', '.*')}$`);
}

const pattern = fc
  .array(fc.constantFrom('a', 'b', '*'), { maxLength: 4 })
  .map((letters) => letters.join(''));

describe('source patterns', () => {
  it('overlap exactly when some name matches both', () => {
    fc.assert(
      fc.property(pattern, pattern, (a, b) => {
        const [first, second] = [regexOf(a), regexOf(b)];
        const isShared = NAMES.some((name) => first.test(name) && second.test(name));
        expect(doPatternsOverlap(a, b)).toBe(isShared);
        expect(doPatternsOverlap(b, a)).toBe(isShared);
      }),
      { numRuns: 1000 },
    );
  });

  it('are told apart by what stands before and behind the star', () => {
    expect(doPatternsOverlap('n2k.*', '*.7')).toBe(true);
    expect(doPatternsOverlap('n2k.*', 'shunt.*')).toBe(false);
    expect(doPatternsOverlap('*.7', '*.8')).toBe(false);
    expect(doPatternsOverlap('*', '')).toBe(true);
  });
});
