/** The small bounds: waiting, rates, retained messages, counters, topics. */
import { describe, expect, test } from 'vitest';
import { manualClock } from '../../../daemon/clock.ts';
import { createBackoff } from '../../../daemon/intake/backoff.ts';
import {
  createCounters,
  MOST_UNMAPPED,
  OTHER_ADDRESSES,
} from '../../../daemon/intake/intake-counters.ts';
import {
  createRetainedBudget,
  MOST_RETAINED_BYTES,
  MOST_RETAINED_TOPICS,
} from '../../../daemon/intake/retained-budget.ts';
import { createTokenBucket } from '../../../daemon/intake/token-bucket.ts';
import { whyNotPublish, whyNotSubscribe } from '../../../daemon/intake/topic-policy.ts';
import { gather } from './gathering.ts';

describe('waiting to reconnect', () => {
  const waits = (random: () => number): number[] => {
    const backoff = createBackoff(random);
    return Array.from({ length: 8 }, () => backoff.nextMs()).map((ms) => Math.round(ms / 1000));
  };

  test('at most doubles up to a minute, and is never under a second', () => {
    expect(waits(() => 1)).toEqual([2, 4, 8, 16, 32, 60, 60, 60]);
    expect(waits(() => 0)).toEqual([1, 1, 1, 1, 1, 1, 1, 1]);
    expect(waits(() => 0.5)).toEqual([2, 3, 5, 9, 17, 31, 31, 31]);
  });

  test('starts small again once the other side has answered', () => {
    const backoff = createBackoff(() => 1);
    for (let tries = 0; tries < 6; tries += 1) backoff.nextMs();
    backoff.reset();
    expect(backoff.nextMs()).toBe(2_000);
  });
});

test('a client has a burst of twice its rate, then its rate', () => {
  const clock = manualClock(0);
  const bucket = createTokenBucket(clock, 10);
  const takenAt = (ms: number): number => {
    clock.advanceTo(ms);
    return Array.from({ length: 50 }, () => bucket.take()).filter(Boolean).length;
  };
  expect(takenAt(0)).toBe(20);
  expect(takenAt(1_000)).toBe(10);
  expect(takenAt(1_500)).toBe(5);
  expect(takenAt(1_000_000)).toBe(20);
});

describe('retained messages', () => {
  test('are bounded in number; the known ones may change and an empty one makes room', () => {
    const budget = createRetainedBudget();
    for (let n = 0; n < MOST_RETAINED_TOPICS; n += 1) expect(budget.book(`t${n}`, 10)).toBe(true);
    expect(budget.book('more', 10)).toBe(false);
    expect(budget.book('t0', 20)).toBe(true);
    expect(budget.book('t1', 0)).toBe(true);
    expect(budget.book('more', 10)).toBe(true);
  });

  test('are bounded in bytes', () => {
    const budget = createRetainedBudget();
    expect(budget.book('a', MOST_RETAINED_BYTES - 5)).toBe(true);
    expect(budget.book('b', 6)).toBe(false);
    expect(budget.book('b', 5)).toBe(true);
    expect(budget.book('a', 0)).toBe(true);
    expect(budget.book('c', MOST_RETAINED_BYTES - 5)).toBe(true);
  });
});

describe('counters', () => {
  test('addresses without a point are remembered up to a bound, then counted together', () => {
    const counters = createCounters(manualClock(0), gather().log);
    for (let n = 0; n < MOST_UNMAPPED + 50; n += 1) counters.unmapped(`topic/${n}`);
    counters.unmapped('topic/3');
    const lines = counters.unmappedAddresses();
    expect(lines).toHaveLength(MOST_UNMAPPED + 1);
    expect(lines).toContainEqual({ address: 'topic/3', count: 2 });
    expect(lines).toContainEqual({ address: OTHER_ADDRESSES, count: 50 });
  });

  test('a flood of one reason writes one line a minute', () => {
    const clock = manualClock(0);
    const { log, lines } = gather();
    const counters = createCounters(clock, log);
    for (let second = 0; second < 120; second += 1) {
      clock.advanceTo(second * 1000);
      counters.refuse({ reason: 'not JSON' }, 'bad\ntopic');
    }
    expect(lines).toHaveLength(2);
    expect(lines[0]).toContain('bad\u{FFFD}topic');
    expect(counters.refused()).toEqual([
      { reason: 'not JSON', count: 120, lastTopic: 'bad\u{FFFD}topic', lastAtMs: 119_000 },
    ]);
  });
});

describe('topics', () => {
  test.each([
    ['panel/bow', undefined],
    ['/panel', undefined],
    ['a/b/c/d/e/f/g/h/i/j', undefined],
    ['a/b/c/d/e/f/g/h/i/j/k', 'topic too long'],
    ['x'.repeat(256), undefined],
    ['x'.repeat(257), 'topic too long'],
    ['', 'topic not allowed'],
    ['$SYS/broker', 'topic not allowed'],
    ['panel/+', 'topic not allowed'],
    ['panel/#', 'topic not allowed'],
    ['panel/\u0000', 'topic not allowed'],
    ['panel/\u0007', 'topic not allowed'],
  ])('publish to %j: %s', (topic, reason) => {
    expect(whyNotPublish(topic)).toBe(reason);
  });

  test.each([
    ['panel/bow', undefined],
    ['panel/#', undefined],
    ['panel/+/volts', undefined],
    ['#', 'subscription not allowed'],
    ['+/#', 'subscription not allowed'],
    ['+/bow', 'subscription not allowed'],
    ['$SYS/#', 'subscription not allowed'],
    ['$share/x/#', 'subscription not allowed'],
    ['', 'subscription not allowed'],
    ['x'.repeat(257), 'topic too long'],
  ])('subscribe to %j: %s', (filter, reason) => {
    expect(whyNotSubscribe(filter)).toBe(reason);
  });
});
