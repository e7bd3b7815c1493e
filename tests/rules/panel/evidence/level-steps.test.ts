/** Steps at once, and everything that only looks like them. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { LOOKS, steppedWith } from '../../../../rules/panel/evidence/level-steps.ts';
import { gaussian } from './series.ts';

const SEED = 991;

/** Looks at a clamp that steps from one level to another at the given look. */
const step = (from: number, to: number, at = 5, length = LOOKS): number[] =>
  Array.from({ length }, (_, i) => (i < at ? from : to));
const still = (amps: number): number[] => step(amps, amps);

describe('a step of the bus', () => {
  test.each([
    ['on its source, exactly', step(1, 4), [step(6, 9), still(2)], { source: 0 }],
    ['on the other source', step(1, 4), [still(6), step(2, 5)], { source: 1 }],
    ['downwards', step(4, 1), [still(6), step(5, 2)], { source: 1 }],
    ['a look later, as sensors speak', step(1, 4, 4), [step(6, 9, 6), still(2)], { source: 0 }],
    ['a motor beside heaters, by its share', step(1, 4), [step(9, 11.1), still(0)], { source: 0 }],
  ])('%s', (_, bus, sources, told) => {
    expect(steppedWith(bus, sources)).toEqual(told);
  });

  test.each([
    ['no step', still(3), [still(3), still(0)], 'none'],
    ['one too small', step(3, 3.3), [step(3, 3.3), still(0)], 'none'],
    ['both sources step', step(1, 4), [step(6, 9), step(0, 3)], 'unclear'],
    ['no source steps', step(1, 4), [still(6), still(0)], 'unclear'],
    ['the other source moves a little', step(1, 4), [step(6, 9), step(0, 1)], 'unclear'],
    ['the source steps by half of it', step(1, 4), [step(6, 7.5), still(0)], 'unclear'],
    ['the source steps the other way', step(1, 4), [step(9, 6), still(0)], 'unclear'],
    ['a source that is silent', step(1, 4), [step(6, 9), still(NaN)], 'unclear'],
    ['small beside what the source carries', step(0, 1), [step(30, 31), still(0)], 'unclear'],
  ])('%s: nothing is told', (_, bus, sources, told) => {
    expect(steppedWith(bus, sources)).toBe(told);
  });

  test('nothing is said before enough has been looked at', () => {
    expect(steppedWith(step(1, 4).slice(1), [step(6, 9).slice(1), still(0).slice(1)])).toBe('none');
  });

  test('loads of their own on the other source: never the wrong one in ten thousand', () => {
    // The other source steps by an amount and at an instant of its own.
    let [right, wrong] = [0, 0];
    fc.assert(
      fc.property(fc.nat(), (seed) => {
        const next = gaussian(seed);
        const bus = step(2, 2 + 4 * next(), 3 + (seed % 4));
        const other = step(5, 5 + 4 * next(), seed % 10);
        const own = bus.map((amps) => amps + 3 + 0.02 * next());
        const told = steppedWith(
          bus.map((amps) => amps + 0.02 * next()),
          [own, other],
        );
        if (typeof told === 'string') return;
        if (told.source === 0) right += 1;
        else wrong += 1;
      }),
      { seed: SEED, numRuns: 10_000 },
    );
    expect(right).toBeGreaterThan(1000);
    expect(wrong).toBe(0);
  });
});
