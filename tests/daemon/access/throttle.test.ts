/** How fast somebody can guess, and that nobody is locked out. */
import { expect, test } from 'vitest';
import { HashQueue } from '../../../daemon/access/hash-queue.ts';
import { BY_ADDRESS, BY_PERSON, Throttle } from '../../../daemon/access/throttle.ts';
import { networkOf } from '../../../daemon/network-address.ts';

const HOUR_MS = 3_600_000;

/** Of guesses as fast as they are let, how many come through in so many hours. */
function guessesIn(throttle: Throttle, hours: number): number {
  let count = 0;
  for (let nowMs = 0; nowMs < hours * HOUR_MS; nowMs += 360) {
    if (throttle.waitMs('x', nowMs) > 0) continue;
    throttle.count('x', nowMs);
    count += 1;
  }
  return count;
}

test('ten thousand guesses an hour come to less than a hundred', () => {
  expect(guessesIn(new Throttle(BY_ADDRESS), 1)).toBeLessThan(30);
  expect(guessesIn(new Throttle(BY_PERSON), 1)).toBeLessThan(30);
  expect(guessesIn(new Throttle(BY_ADDRESS), 24) / 24).toBeLessThan(15);
});

test('the wait doubles from 30 s to 5 min and no further', () => {
  const throttle = new Throttle(BY_ADDRESS);
  let nowMs = 0;
  for (let tries = 0; tries < 4; tries += 1) throttle.count('x', nowMs);
  expect(throttle.waitMs('x', nowMs)).toBe(0);
  const waits = Array.from({ length: 7 }, () => {
    throttle.count('x', nowMs);
    const waitMs = throttle.waitMs('x', nowMs);
    nowMs += waitMs;
    expect(throttle.waitMs('x', nowMs)).toBe(0);
    return waitMs / 1000;
  });
  expect(waits).toEqual([30, 60, 120, 240, 300, 300, 300]);
});

test('others are not slowed down, and an hour of quiet forgets all', () => {
  const throttle = new Throttle(BY_ADDRESS);
  for (let tries = 0; tries < 20; tries += 1) throttle.count('x', 0);
  expect(throttle.waitMs('y', 0)).toBe(0);
  throttle.count('x', HOUR_MS);
  expect(throttle.waitMs('x', HOUR_MS)).toBe(0);
});

test('a try that was right does not count, those before it do', () => {
  const throttle = new Throttle(BY_ADDRESS);
  for (let tries = 0; tries < 4; tries += 1) throttle.count('x', 0);
  throttle.count('x', 0);
  throttle.takeBack('x');
  expect(throttle.waitMs('x', 0)).toBe(0);
  throttle.count('x', 0);
  expect(throttle.waitMs('x', 0)).toBe(30_000);
});

test('keeps no more keys than it may, and those that wait longest', () => {
  const throttle = new Throttle({ ...BY_ADDRESS, keysMax: 50 });
  for (let tries = 0; tries < 6; tries += 1) throttle.count('guesser', 0);
  for (let each = 0; each < 1000; each += 1) throttle.count(`other ${each}`, 1);
  expect(throttle.waitMs('guesser', 2)).toBeGreaterThan(0);
});

// RFC 4291: the first 64 bits are the network; RFC 5952 for how they are written.
test.each([
  ['192.0.2.7', '192.0.2.7'],
  ['2001:db8:1:2:3:4:5:6', '2001:db8:1:2::/64'],
  ['2001:db8:1:2::9', '2001:db8:1:2::/64'],
  ['2001:0db8::1', '2001:db8:0:0::/64'],
  ['::1', '0:0:0:0::/64'],
])('%s counts as %s', (address, network) => {
  expect(networkOf(address)).toBe(network);
});

test('two hashes at once, ten wait, the others are turned away', async () => {
  const queue = new HashQueue(2, 10);
  const ends: (() => void)[] = [];
  let [inside, most] = [0, 0];
  const all = Array.from({ length: 20 }, () =>
    queue.run(async () => {
      inside += 1;
      most = Math.max(most, inside);
      await new Promise<void>((end) => ends.push(end));
      inside -= 1;
      return true;
    }),
  );
  for (let turns = 0; turns < 100; turns += 1) {
    ends.shift()?.();
    await Promise.resolve();
  }
  const outcomes = await Promise.all(all);
  expect(most).toBe(2);
  expect(outcomes.filter((outcome) => outcome === null)).toHaveLength(8);
});
