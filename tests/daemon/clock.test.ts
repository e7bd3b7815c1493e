import { describe, expect, test } from 'vitest';
import { manualClock, startClock } from '../../daemon/clock.ts';

describe('the manual clock', () => {
  test('fires timers in order of their time, at their time', () => {
    const clock = manualClock(1000);
    const seen: [string, number][] = [];
    clock.every(300, () => seen.push(['every', clock.nowMs()]));
    clock.after(500, () => seen.push(['after', clock.nowMs()]));
    clock.advanceTo(2000);
    expect(seen).toEqual([
      ['every', 1300],
      ['after', 1500],
      ['every', 1600],
      ['every', 1900],
    ]);
    expect(clock.nowMs()).toBe(2000);
  });

  test('a timer that was ended fires no more, also when it ends itself', () => {
    const clock = manualClock(0);
    let count = 0;
    const end = clock.every(10, () => {
      count += 1;
      if (count === 3) end();
    });
    clock.after(5, () => {
      throw new Error('ended');
    })();
    clock.advanceTo(100);
    expect(count).toBe(3);
  });

  test('never goes back', () => {
    const clock = manualClock(50);
    clock.advanceTo(20);
    expect(clock.nowMs()).toBe(50);
  });
});

describe('the real clock', () => {
  test('starts where it is told and runs at its speed, forward only', async () => {
    const clock = startClock({ speed: 1000, startMs: 5_000_000 });
    const first = clock.nowMs();
    await new Promise<void>((resolve) => {
      clock.after(10_000, resolve);
    });
    // A thousand times as fast: ten seconds of its own take ten real milliseconds or a little more.
    expect(clock.nowMs() - first).toBeGreaterThanOrEqual(9_000);
    expect(Number.isInteger(clock.nowMs())).toBe(true);
  });

  test.each([0, -1, Number.NaN, Infinity])('refuses a speed of %s', (speed) => {
    expect(() => startClock({ speed })).toThrow(RangeError);
  });
});
