import { beforeEach, describe, expect, test } from 'vitest';
import { createValueOrder, type ValueOrder } from '../../../daemon/intake/marine-data-order.ts';

const START = 1_000_000_000;
let order: ValueOrder;
beforeEach(() => {
  order = createValueOrder();
});

/** Judges a value of one source on one path. */
function judge(nowMs: number, timestampMs: number | null, value: unknown = nowMs, source = 'a') {
  return order.judge({ source, path: 'p', timestampMs, value }, nowMs);
}

describe('at a subscription to a server that knows the time', () => {
  beforeEach(() => order.subscribed(START, START));

  test('what was said before it is restored, what was said since is live', () => {
    expect(judge(START + 50, START - 86_400_000)).toBe('restored');
    expect(judge(START + 60, START - 1)).toBe('restored');
    expect(judge(START + 70, START)).toBe('live');
    expect(judge(START + 80, START + 10)).toBe('live');
  });

  test('what claims to be from the future is restored until the replay must be over', () => {
    const hour = 3_600_000;
    expect(judge(START + 50, START + hour)).toBe('restored');
    expect(judge(START + 1_050, START + hour + 1_000)).toBe('restored');
    expect(judge(START + 5_050, START + hour + 5_000)).toBe('live');
  });

  test('a first value later on is restored if it is old by the server’s clock', () => {
    expect(judge(START + 60_000, START + 25_000)).toBe('restored');
    expect(judge(START + 60_000, START + 35_000, 1, 'b')).toBe('live');
  });

  test('a source whose clock is an hour behind is live as soon as it moves on', () => {
    const behind = START - 3_600_000;
    expect(judge(START + 10_000, behind)).toBe('restored');
    expect(judge(START + 11_000, behind + 1_000)).toBe('live');
    expect(judge(START + 12_000, behind + 2_000)).toBe('live');
  });

  test('without a timestamp only the first moments are suspect', () => {
    expect(judge(START + 4_999, null)).toBe('restored');
    expect(judge(START + 5_000, null)).toBe('live');
  });
});

test('the server’s clock counts, not ours', () => {
  const serverMs = START + 7 * 86_400_000;
  order.subscribed(START, serverMs);
  expect(judge(START + 50, serverMs - 1_000)).toBe('restored');
  expect(judge(START + 60, serverMs + 55)).toBe('live');
});

test('a server without the time: everything in the first moments is restored', () => {
  order.subscribed(START, null);
  expect(judge(START + 50, START + 40)).toBe('restored');
  expect(judge(START + 5_050, START + 5_040)).toBe('live');
});

describe('later on', () => {
  const later = START + 60_000;
  beforeEach(() => {
    order.subscribed(START, START);
    judge(later, later, 1);
  });

  test('the same stamp with the same value is a repetition, with another value it is new', () => {
    expect(judge(later + 1_000, later, 1)).toBe('repeated');
    expect(judge(later + 1_000, later, 2)).toBe('live');
  });

  test('an older stamp is refused, and the next newer one taken', () => {
    expect(judge(later + 1_000, later - 500, 3)).toBe('older');
    expect(judge(later + 1_100, later + 1_100, 4)).toBe('live');
  });

  test('a clock that stepped back is believed at its second step', () => {
    const back = later - 86_400_000;
    expect(judge(later + 1_000, back)).toBe('older');
    expect(judge(later + 2_000, back + 1_000)).toBe('live');
    expect(judge(later + 3_000, back + 2_000)).toBe('live');
  });

  test('values older than the last that do not move on are never taken', () => {
    for (const lag of [500, 600, 700, 800]) {
      expect(judge(later + lag, later - lag)).toBe('older');
    }
  });

  test('sources do not disturb each other', () => {
    expect(judge(later + 1_000, later - 20_000, 3, 'b')).toBe('live');
    expect(judge(later + 2_000, later + 2_000, 4)).toBe('live');
  });

  test('the same cache replayed after a reconnect is nothing new', () => {
    order.subscribed(later + 90_000, later + 90_000);
    expect(judge(later + 90_010, later, 1)).toBe('repeated');
    expect(judge(later + 90_020, later + 60_000, 2)).toBe('restored');
    expect(judge(later + 91_000, later + 90_900, 3)).toBe('live');
  });
});
