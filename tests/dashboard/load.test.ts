import { describe, expect, test } from 'vitest';
import { barShare, flowOf, fullnessOf } from '../../dashboard/models/load.ts';

describe('bars', () => {
  // 80 %: continuous loads, NEC 210.20(A), quoted from memory.
  test.each([
    [0, 'normal'],
    [0.799, 'normal'],
    [0.8, 'full'],
    [1, 'full'],
    [1.001, 'over'],
  ])('%d of the rating is %s', (ratio, fullness) => {
    expect(fullnessOf(ratio)).toBe(fullness);
  });

  test('mark the rating at four fifths of their length and stay on the page', () => {
    expect(barShare(1)).toBeCloseTo(0.8);
    expect(barShare(9)).toBe(1);
    expect(barShare(-0.2)).toBe(0);
  });
});

test('a battery flows the way its shown number says', () => {
  expect([null, 0, 0.049, 0.05, -0.05, -30].map(flowOf)).toEqual([
    null,
    'resting',
    'resting',
    'charging',
    'discharging',
    'discharging',
  ]);
});
