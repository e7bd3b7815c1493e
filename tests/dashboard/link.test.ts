import { describe, expect, test } from 'vitest';
import { agoShown, isOldAt, linkState, SILENT_AFTER_MS } from '../../dashboard/models/link.ts';
import { paced } from '../../dashboard/models/pacing.ts';

describe('the link to the boat', () => {
  const at = (heardAgoMs: number | null, waitedMs = 60_000, via: 'stream' | 'asking' = 'stream') =>
    linkState({ heardAgoMs, waitedMs, via, isRemembered: false });

  test('counts as lost at ten seconds of silence, not before', () => {
    expect(at(SILENT_AFTER_MS - 1)).toBe('live');
    expect(at(SILENT_AFTER_MS)).toBe('lost');
  });

  test('that never was is not called lost', () => {
    expect(at(null, SILENT_AFTER_MS - 1)).toBe('connecting');
    expect(at(null, SILENT_AFTER_MS)).toBe('never');
  });

  test('kept from an earlier visit is never called live, and gives way to the boat', () => {
    const remembered = { waitedMs: 500, via: 'stream', isRemembered: true } as const;
    expect(linkState({ heardAgoMs: null, ...remembered })).toBe('remembered');
    expect(linkState({ heardAgoMs: 0, ...remembered })).toBe('live');
    expect((['remembered', 'lost', 'never'] as const).every(isOldAt)).toBe(true);
    expect((['connecting', 'live', 'asking'] as const).some(isOldAt)).toBe(false);
  });

  test('has an age in words only after a while, and then by the second', () => {
    expect([0, 3_999, 4_000, 4_999, 61_500].map(agoShown)).toEqual([0, 0, 4_000, 4_000, 61_000]);
  });

  test('by asking is told from the live stream', () => {
    expect(at(2_000, 60_000, 'asking')).toBe('asking');
  });
});

describe('the pace at which numbers change', () => {
  /** A clock that stands still until it is moved. */
  function handClock() {
    let now = 0;
    let waiting: { atMs: number; act: () => void }[] = [];
    return {
      pace: {
        nowMs: () => now,
        after: (ms: number, act: () => void) => void waiting.push({ atMs: now + ms, act }),
      },
      moveTo: (atMs: number) => {
        now = atMs;
        const due = waiting.filter((one) => one.atMs <= now);
        waiting = waiting.filter((one) => one.atMs > now);
        for (const { act } of due) act();
      },
    };
  }

  test('is once in two seconds, and the newest value is never lost', () => {
    const { pace, moveTo } = handClock();
    const shown: number[] = [];
    const show = paced<number>(2000, pace, (value) => shown.push(value));
    show(1);
    expect(shown).toEqual([1]);
    moveTo(700);
    show(2);
    moveTo(1900);
    show(3);
    expect(shown).toEqual([1]);
    moveTo(2000);
    expect(shown).toEqual([1, 3]);
    moveTo(3000);
    show(4);
    moveTo(4000);
    expect(shown).toEqual([1, 3, 4]);
    moveTo(60_000);
    expect(shown).toEqual([1, 3, 4]);
    show(5);
    expect(shown).toEqual([1, 3, 4, 5]);
  });
});
