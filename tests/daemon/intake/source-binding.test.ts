import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { createSourceBinding, matchesPattern } from '../../../daemon/intake/source-binding.ts';

describe('patterns', () => {
  test.each([
    ['shunt.*', 'shunt.1', true],
    ['shunt.*', 'shunt.', true],
    ['shunt.*', 'shunt', false],
    ['shunt.*', 'shuntX1', false],
    ['*', '', true],
    ['*', 'anything', true],
    ['a*a', 'a', false],
    ['a*a', 'aa', true],
    ['can*.2*', 'can0.c0.22', true],
    ['can*.2*', 'can0.31', false],
    ['exact', 'exact', true],
    ['exact', 'exactly', false],
    ['.*', 'x', false],
  ])('%j and %j: %s', (pattern, text, isMatch) => {
    expect(matchesPattern(pattern, text)).toBe(isMatch);
  });

  test('agree with a regular expression made from the pattern', () => {
    const letters = fc.stringMatching(/^[ab*]{0,6}$/);
    fc.assert(
      fc.property(letters, fc.stringMatching(/^[ab]{0,8}$/), (pattern, text) => {
        const regex = new RegExp(`^${pattern.replaceAll('*', '.*')}$`);
        expect(matchesPattern(pattern, text)).toBe(regex.test(text));
      }),
      { numRuns: 3_000 },
    );
  });
});

test('without a pattern the first source is kept', () => {
  const binding = createSourceBinding();
  expect(binding.bind('p', undefined, 'a').verdict).toBe('taken');
  expect(binding.bind('p', undefined, 'b').verdict).toBe('second source');
  expect(binding.bind('p', undefined, 'a').verdict).toBe('taken');
  expect(binding.bind('q', undefined, 'b').verdict).toBe('taken');
});

test('a pattern takes every source that matches, and says once when there is a further one', () => {
  const binding = createSourceBinding();
  expect(binding.bind('p', 'can0.*', 'gps.1').verdict).toBe('other source');
  expect(binding.bind('p', 'can0.*', 'can0.22')).toEqual({ verdict: 'taken', isFurther: false });
  expect(binding.bind('p', 'can0.*', 'can0.31')).toEqual({ verdict: 'taken', isFurther: true });
  expect(binding.bind('p', 'can0.*', 'can0.31')).toEqual({ verdict: 'taken', isFurther: false });
});

test('invented sources do not fill the memory', () => {
  const binding = createSourceBinding();
  const verdicts = Array.from({ length: 1_000 }, (_, n) => binding.bind('p', '*', `s${n}`).verdict);
  expect(verdicts.filter((verdict) => verdict === 'taken')).toHaveLength(16);
});
