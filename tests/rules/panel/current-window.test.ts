/** Bounds of a current over the last readings. */
import { expect, test } from 'vitest';
import { CurrentWindow } from '../../../rules/panel/current-window.ts';

test('looks back over at least one stretch, and at most two', () => {
  const window = new CurrentWindow(2000);
  const seen: [number, number][] = [];
  [0.1, 4, 0.8, 0.8, 0.8, 0.8].forEach((amps, at) => {
    window.take(amps, at * 1000);
    seen.push([window.lowest, window.highest]);
  });
  expect(seen).toEqual([
    [0.1, 0.1],
    [0.1, 4],
    [0.1, 4],
    [0.1, 4],
    [0.8, 0.8],
    [0.8, 0.8],
  ]);
});

test('forgets what was read before a gap', () => {
  const window = new CurrentWindow(2000);
  window.take(9, 0);
  window.take(1, 60_000);
  expect([window.lowest, window.highest]).toEqual([1, 1]);
});

test('never forgets the reading before the newest because a clamp spoke early, late or missed a turn', () => {
  const window = new CurrentWindow(10_000);
  for (const atMs of [0, 9_900]) window.take(0.1, atMs);
  window.take(4, 20_100);
  expect(window.lowest).toBe(0.1);
  window.take(4, 21_000);
  window.take(0.2, 43_500);
  expect(window.highest).toBe(4);
});
