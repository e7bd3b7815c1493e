/**
 * Numbers for property tests, spread evenly. (A plain random double takes every exponent to be
 * equally likely, so nearly all of 0..100 would lie next to zero.)
 */
import * as fc from 'fast-check';

const STEPS = 1_000_000;

export function amount(min: number, max: number): fc.Arbitrary<number> {
  const steps = fc.integer({ min: 0, max: STEPS });
  return steps.map((step) => min + ((max - min) * step) / STEPS);
}
