import { expect, it } from 'vitest';
import { lastingOf } from '../../dashboard/models/lasting.ts';

const HOUR_MS = 3_600_000;

it('is a range of instants', () => {
  expect(lastingOf({ hoursLeft: { low: 8, high: 12.5 } }, 1000)).toEqual({
    fromMs: 1000 + 8 * HOUR_MS,
    toMs: 1000 + 12.5 * HOUR_MS,
  });
});

it('has no end where the forecast ends, and is nothing where it is not known', () => {
  const open = lastingOf({ hoursLeft: { low: 100, high: 240 } }, 0);
  expect(open).toEqual({ fromMs: 100 * HOUR_MS, toMs: null });
  expect(lastingOf({ hoursLeft: { low: 100, high: 239.9 } }, 0)?.toMs).toBe(239.9 * HOUR_MS);
  expect(lastingOf({ hoursLeft: null }, 0)).toBeNull();
});
