import { describe, expect, test } from 'vitest';
import { Random, createRandom, fnv1a } from '../../simulator/random.ts';

describe('xoshiro128**', () => {
  // From github.com/edorfaus/xoshiro-6502, test-rom/testdata.asm: state and outputs that its author
  // took from the C reference implementation of Blackman and Vigna.
  test('gives the outputs of the reference implementation', () => {
    const random = new Random(0x964d4a0c, 0xd40ab895, 0xad7fdecb, 0x3006f0f0);
    const outputs = Array.from({ length: 4 }, () => random.bits());
    expect(outputs).toEqual([0xf1391922, 0x6fe53806, 0xa5be2840, 0xf510ee70]);
  });

  test('refuses a state of zeros, from which nothing ever comes', () => {
    expect(() => new Random(0, 0, 0, 0)).toThrow(/zero/);
  });
});

// Test vectors of the FNV-1a reference by Fowler, Noll and Vo; given from memory.
test.each([
  ['', 0x811c9dc5],
  ['a', 0xe40c292c],
  ['foobar', 0xbf9cf968],
])('FNV-1a of %j', (text, hash) => {
  expect(fnv1a(text)).toBe(hash);
});

describe('streams', () => {
  test('the same seed and names give the same numbers', () => {
    const draw = (): number[] => {
      const random = createRandom(7, 'clamp', 'a');
      return Array.from({ length: 20 }, () => random.unit());
    };
    expect(draw()).toEqual(draw());
  });

  test('another seed or name gives others', () => {
    const first = (seed: number, name: string): number => createRandom(seed, name).unit();
    const all = [first(1, 'a'), first(2, 'a'), first(1, 'b'), first(1, 'c')];
    expect(new Set(all).size).toBe(4);
  });

  test('neighbouring names are not alike', () => {
    const [a, b] = [createRandom(1, 'clamp', '1'), createRandom(1, 'clamp', '2')];
    const n = 5000;
    let sum = 0;
    for (let at = 0; at < n; at += 1) sum += (a.unit() - 0.5) * (b.unit() - 0.5);
    // Correlation of independent uniforms: standard deviation 1 / sqrt(n).
    expect(Math.abs((12 * sum) / n)).toBeLessThan(4 / Math.sqrt(n));
  });
});

describe('distributions', () => {
  const n = 40_000;

  test('uniform: mean and spread', () => {
    const random = createRandom(3, 'uniform');
    const draws = Array.from({ length: n }, () => random.between(2, 4));
    const mean = draws.reduce((sum, one) => sum + one, 0) / n;
    expect(mean).toBeCloseTo(3, 1);
    expect(Math.min(...draws)).toBeGreaterThanOrEqual(2);
    expect(Math.max(...draws)).toBeLessThan(4);
  });

  test('gaussian: mean 0, deviation 1, 68.3 % within one deviation, 95.4 % within two', () => {
    const random = createRandom(4, 'gaussian');
    const draws = Array.from({ length: n }, () => random.gaussian());
    const mean = draws.reduce((sum, one) => sum + one, 0) / n;
    const deviation = Math.sqrt(draws.reduce((sum, one) => sum + one * one, 0) / n - mean * mean);
    const within = (limit: number): number =>
      draws.filter((one) => Math.abs(one) < limit).length / n;
    expect(Math.abs(mean)).toBeLessThan(0.02);
    expect(deviation).toBeCloseTo(1, 1);
    expect(within(1)).toBeCloseTo(0.683, 2);
    expect(within(2)).toBeCloseTo(0.954, 2);
  });

  test('exponential: mean as asked, deviation equal to the mean', () => {
    const random = createRandom(5, 'exponential');
    const draws = Array.from({ length: n }, () => random.exponential(30));
    const mean = draws.reduce((sum, one) => sum + one, 0) / n;
    const square = draws.reduce((sum, one) => sum + one * one, 0) / n;
    expect(mean / 30).toBeCloseTo(1, 1);
    expect(Math.sqrt(square - mean * mean) / 30).toBeCloseTo(1, 1);
  });
});
