import { expect, test } from 'vitest';
import type { BreakerKind } from '../../../rules/index.ts';
import { BreakerHeat } from '../../../simulator/physics/breaker.ts';

const HOUR = 3600;

/** Seconds until it trips, or null within two hours. */
function tripSeconds(kind: BreakerKind, ratio: number): number | null {
  const breaker = new BreakerHeat(20, kind);
  for (let seconds = 1; seconds <= 2 * HOUR; seconds += 1) {
    if (breaker.carries(20 * ratio, 1)) return seconds;
  }
  return null;
}

// UL 489 (as summarised at optifuse.com/blog/ul-circuit-breakers): holds its rating, trips at
// 135 % within an hour and at 200 % within two minutes.
test('UL 489: holds 100 %, trips at 135 % within 1 h and at 200 % within 2 min', () => {
  expect(tripSeconds('UL 489', 1)).toBeNull();
  expect(tripSeconds('UL 489', 1.35)).toBeLessThan(HOUR);
  expect(tripSeconds('UL 489', 1.35)).toBeGreaterThan(60);
  expect(tripSeconds('UL 489', 2)).toBeLessThan(120);
});

// IEC 60898-1: 1.13 and 1.45 (as given at sparkyhub.co.uk), 2.55 within 1 to 60 s.
test.each(['IEC B', 'IEC C', 'IEC D'] as const)(
  '%s: holds 113 %, trips at 145 % within 1 h and at 255 % within 1 to 60 s',
  (kind) => {
    expect(tripSeconds(kind, 1.13)).toBeNull();
    expect(tripSeconds(kind, 1.45)).toBeLessThan(HOUR);
    const fast = tripSeconds(kind, 2.55);
    expect(fast).toBeGreaterThan(1);
    expect(fast).toBeLessThan(60);
  },
);

// IEC 60898-1: B trips at once between 3 and 5 times its rating, C 5 and 10, D 10 and 20.
test.each([
  ['IEC B', 3, 5],
  ['IEC C', 5, 10],
  ['IEC D', 10, 20],
] as const)('%s trips at once somewhere between %i and %i times its rating', (kind, low, high) => {
  expect(new BreakerHeat(20, kind).carries(20 * low, 0.05)).toBe(false);
  expect(new BreakerHeat(20, kind).carries(20 * high * 1.001, 0.05)).toBe(true);
});

test('the start of a motor of six times its running current trips nothing', () => {
  expect(new BreakerHeat(20, 'UL 489').carries(52, 0.4)).toBe(false);
});

test('it cools down: a warm breaker trips earlier than a rested one', () => {
  const warm = new BreakerHeat(20, 'UL 489');
  warm.carries(20, HOUR);
  let warmSeconds = 0;
  while (!warm.carries(30, 1)) warmSeconds += 1;
  expect(warmSeconds).toBeLessThan(tripSeconds('UL 489', 1.5) ?? 0);
});
