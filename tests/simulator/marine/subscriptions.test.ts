import { describe, expect, test } from 'vitest';
import { readClientMessage } from '../../../simulator/marine/client-message.ts';
import { Subscriptions } from '../../../simulator/marine/subscriptions.ts';
import type { Row, Said } from '../../../simulator/marine/subscriptions.ts';

const SELF = 'vessels.urn:mrn:signalk:uuid:5f3f2a4e-6d1b-4c57-9a0e-2b7c8d9e0f11';

function said(path: string, value: unknown, $source = 'shunt.house'): Said {
  return { context: SELF, path, $source, timestamp: '2026-06-01T00:00:00.000Z', value };
}

function row(over: Partial<Row> = {}): Row {
  return { context: SELF, path: '*', policy: 'instant', periodMs: 1000, minPeriodMs: 0, ...over };
}

const values = (sent: Said[]): unknown[] => sent.map(({ value }) => value);

describe('policies as the published specification has them', () => {
  test('instant without a least period: every change at once', () => {
    const subscriptions = new Subscriptions();
    subscriptions.add(row(), [], 0);
    expect(values(subscriptions.offer(said('a.b', 1), 10))).toEqual([1]);
    expect(values(subscriptions.offer(said('a.b', 2), 11))).toEqual([2]);
    expect(subscriptions.due(5000)).toEqual([]);
  });

  test('instant with a least period: the last change waits, and is not dropped', () => {
    const subscriptions = new Subscriptions();
    subscriptions.add(row({ minPeriodMs: 200 }), [], 0);
    const atOnce = [1, 2, 3].flatMap((value, at) =>
      subscriptions.offer(said('a.b', value), at * 50),
    );
    expect(values(atOnce)).toEqual([1]);
    expect(values(subscriptions.due(150))).toEqual([]);
    expect(values(subscriptions.due(200))).toEqual([3]);
    expect(values(subscriptions.due(1000))).toEqual([]);
  });

  test('ideal: as instant, and the last value again after a silent period', () => {
    const subscriptions = new Subscriptions();
    subscriptions.add(row({ policy: 'ideal', periodMs: 1000 }), [], 0);
    expect(values(subscriptions.offer(said('a.b', 1), 0))).toEqual([1]);
    expect(values(subscriptions.due(999))).toEqual([]);
    expect(values(subscriptions.due(1000))).toEqual([1]);
    expect(values(subscriptions.due(2000))).toEqual([1]);
  });

  test('fixed: nothing at once, the last known values every period', () => {
    const subscriptions = new Subscriptions();
    subscriptions.add(row({ policy: 'fixed', periodMs: 1000 }), [], 0);
    expect(subscriptions.offer(said('a.b', 1), 100)).toEqual([]);
    expect(subscriptions.offer(said('a.b', 2), 200)).toEqual([]);
    expect(subscriptions.due(900)).toEqual([]);
    expect(values(subscriptions.due(1000))).toEqual([2]);
    expect(values(subscriptions.due(2000))).toEqual([2]);
  });
});

describe('what is asked for', () => {
  test('a star stands for any run of characters; dots are only dots', () => {
    const subscriptions = new Subscriptions();
    subscriptions.add(row({ path: 'electrical.*.voltage' }), [], 0);
    const isSent = (path: string): boolean => subscriptions.offer(said(path, 1), 0).length > 0;
    expect(isSent('electrical.batteries.house.voltage')).toBe(true);
    expect(isSent('electrical.batteries.house.current')).toBe(false);
    expect(isSent('electricalXhouse.voltage')).toBe(false);
  });

  test('one source only', () => {
    const subscriptions = new Subscriptions();
    subscriptions.add(row({ path: 'a.b', $source: 'solar.arch' }), [], 0);
    expect(subscriptions.offer(said('a.b', 1), 0)).toEqual([]);
    expect(values(subscriptions.offer(said('a.b', 2, 'solar.arch'), 0))).toEqual([2]);
  });

  test('another vessel is not this one', () => {
    const subscriptions = new Subscriptions();
    subscriptions.add(row({ context: 'vessels.urn:other' }), [], 0);
    expect(subscriptions.offer(said('a.b', 1), 0)).toEqual([]);
  });

  test('cached values are given back on subscribing; subscribing anew replaces', () => {
    const subscriptions = new Subscriptions();
    const cache = [said('a.b', 7), said('c.d', 8)];
    expect(values(subscriptions.add(row({ path: 'a.b' }), cache, 0))).toEqual([7]);
    subscriptions.add(row({ path: 'a.b', policy: 'fixed' }), [], 0);
    expect(subscriptions.offer(said('a.b', 9), 10)).toEqual([]);
  });

  test('unsubscribing takes rows away', () => {
    const subscriptions = new Subscriptions();
    subscriptions.add(row({ path: 'a.b' }), [], 0);
    subscriptions.add(row({ path: 'c.d' }), [], 0);
    subscriptions.remove(SELF, 'a.b');
    expect(subscriptions.offer(said('a.b', 1), 0)).toEqual([]);
    expect(subscriptions.offer(said('c.d', 1), 0)).toHaveLength(1);
    subscriptions.remove('*', '*');
    expect(subscriptions.offer(said('c.d', 1), 0)).toEqual([]);
  });
});

describe('what clients say', () => {
  test('defaults of the specification: ideal, 1000 ms, least 200 ms', () => {
    const text = JSON.stringify({ context: 'vessels.self', subscribe: [{ path: 'a.b' }] });
    expect(readClientMessage(text, SELF)?.subscribe).toEqual([
      { context: SELF, path: 'a.b', policy: 'ideal', periodMs: 1000, minPeriodMs: 200 },
    ]);
  });

  test('a path with one source', () => {
    const text = JSON.stringify({ subscribe: [{ path: 'a.b.values[solar.arch]' }] });
    expect(readClientMessage(text, SELF)?.subscribe[0]).toMatchObject({
      path: 'a.b',
      $source: 'solar.arch',
    });
  });

  test.each([
    '',
    'nonsense',
    '[]',
    '"text"',
    '{"subscribe":[{"path":5}]}',
    '{"subscribe":[{"path":"a","period":-1}]}',
    '{"subscribe":[{"path":"a","policy":"soon"}]}',
  ])('%s is no message, and nothing is thrown', (text) => {
    expect(readClientMessage(text, SELF)).toBeNull();
  });
});
