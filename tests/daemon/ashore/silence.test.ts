/** When a boat counts as overdue: the pure state machine, by example and by chance. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { BoatMemory, Expectation, News } from '../../../daemon/ashore/silence.ts';
import { hears, newMemory, resumed, standingOf, waits } from '../../../daemon/ashore/silence.ts';
import { beatOf } from './beats.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const EVERY: Expectation = { everyMs: MINUTE_MS, overdueBeats: 3, offline: [] };

/** A watcher of one boat, second by second. */
class OneBoat {
  nowMs = 0;
  memory: BoatMemory = newMemory(0);
  readonly told: News['type'][] = [];
  readonly #expected: Expectation;
  #sequence = 0;

  constructor(expected: Expectation = EVERY) {
    this.#expected = expected;
  }

  waitMs(ms: number): void {
    const endMs = this.nowMs + ms;
    while (this.nowMs < endMs) {
      this.nowMs = Math.min(endMs, this.nowMs + 1000);
      this.#go(waits(this.memory, this.#expected, this.nowMs));
    }
  }

  beat(): void {
    this.#go(waits(this.memory, this.#expected, this.nowMs));
    this.#sequence += 1;
    const beat = beatOf({ sequence: this.#sequence, everySeconds: 60 });
    this.#go(hears(this.memory, { beat, receivedAtMs: this.nowMs }));
  }

  /** The watcher itself is away for so long. */
  restartAfterMs(ms: number): void {
    this.nowMs += ms;
    const onDisk: BoatMemory = JSON.parse(JSON.stringify(this.memory));
    this.memory = resumed(onDisk, this.nowMs);
  }

  get standing(): string {
    return standingOf(this.memory, this.#expected);
  }

  #go({ memory, news }: ReturnType<typeof waits>): void {
    this.memory = memory;
    if (news) this.told.push(news.type);
  }
}

describe('a boat that falls silent', () => {
  test('is overdue when the third beat is missing, and not a second before', () => {
    const boat = new OneBoat();
    boat.beat();
    boat.waitMs(3 * MINUTE_MS - 1000);
    expect(boat.told).toEqual([]);
    boat.waitMs(1000);
    expect(boat.told).toEqual(['overdue']);
  });

  test('is told once, again after an hour, then once a day; and once more when she is back', () => {
    const boat = new OneBoat();
    boat.beat();
    boat.waitMs(3 * MINUTE_MS);
    boat.waitMs(HOUR_MS - 1000);
    expect(boat.told).toEqual(['overdue']);
    boat.waitMs(1000);
    expect(boat.told).toEqual(['overdue', 'still silent']);
    boat.waitMs(48 * HOUR_MS);
    expect(boat.told).toEqual(['overdue', 'still silent', 'still silent', 'still silent']);
    boat.beat();
    boat.beat();
    expect(boat.told.slice(4)).toEqual(['back']);
  });

  test('that was never heard is told as well, counted from when she was first listened for', () => {
    const boat = new OneBoat();
    boat.waitMs(3 * MINUTE_MS);
    expect(boat.told).toEqual(['overdue']);
  });

  test('gets the longer interval that she named herself', () => {
    const boat = new OneBoat();
    const beat = beatOf({ everySeconds: 300 });
    boat.memory = hears(boat.memory, { beat, receivedAtMs: 0 }).memory;
    boat.waitMs(15 * MINUTE_MS - 1000);
    expect(boat.told).toEqual([]);
    boat.waitMs(1000);
    expect(boat.told).toEqual(['overdue']);
  });
});

describe('the watcher’s own absence', () => {
  test('is not her silence: after it she has one whole interval at least', () => {
    const boat = new OneBoat();
    boat.beat();
    boat.waitMs(2 * MINUTE_MS + 50_000);
    boat.restartAfterMs(5 * HOUR_MS);
    boat.waitMs(MINUTE_MS - 1000);
    expect(boat.told).toEqual([]);
    boat.waitMs(1000);
    expect(boat.told).toEqual(['overdue']);
  });

  test('forgets no silence that was told, and tells it no second time', () => {
    const boat = new OneBoat();
    boat.beat();
    boat.waitMs(4 * MINUTE_MS);
    boat.restartAfterMs(MINUTE_MS);
    boat.waitMs(10 * MINUTE_MS);
    expect(boat.told).toEqual(['overdue']);
    boat.beat();
    expect(boat.told).toEqual(['overdue', 'back']);
  });

  test('restarts that come again and again do not put it off for ever', () => {
    const boat = new OneBoat();
    boat.beat();
    for (let i = 0; i < 4; i++) {
      boat.waitMs(MINUTE_MS);
      boat.restartAfterMs(1000);
    }
    boat.waitMs(MINUTE_MS);
    expect(boat.told).toEqual(['overdue']);
  });

  test('a computer that slept through its looks has not listened', () => {
    const boat = new OneBoat();
    boat.beat();
    boat.nowMs += 8 * HOUR_MS;
    boat.waitMs(MINUTE_MS);
    expect(boat.told).toEqual([]);
  });
});

describe('a span in which she is expected to be offline', () => {
  const laidUp: Expectation = {
    ...EVERY,
    offline: [{ fromMs: 10 * MINUTE_MS, toMs: 100 * MINUTE_MS }],
  };

  test('is not told, and counts from its end', () => {
    const boat = new OneBoat(laidUp);
    boat.waitMs(8 * MINUTE_MS - 1000);
    boat.told.length = 0;
    boat.beat();
    boat.waitMs(60 * MINUTE_MS);
    expect(boat.standing).toBe('expected offline');
    boat.waitMs(100 * MINUTE_MS - boat.nowMs + 2 * MINUTE_MS);
    expect(boat.told).toEqual(['back']);
    boat.waitMs(2 * MINUTE_MS);
    expect(boat.told).toEqual(['back', 'overdue']);
  });

  test('pauses a silence that was told before, and her return is told', () => {
    const boat = new OneBoat({ ...laidUp, offline: [{ fromMs: 5 * MINUTE_MS, toMs: 1e9 }] });
    boat.beat();
    boat.waitMs(5 * HOUR_MS);
    expect(boat.told).toEqual(['overdue']);
    boat.beat();
    expect(boat.told).toEqual(['overdue', 'back']);
  });
});

describe('by chance', () => {
  type Act = { type: 'beat after' | 'restart after' | 'silence'; seconds: number };
  const act = fc.oneof(
    { weight: 6, arbitrary: acts('beat after', 1, 179) },
    { weight: 2, arbitrary: acts('silence', 240, 3500) },
    { weight: 1, arbitrary: acts('restart after', 1, 7200) },
  );

  function acts(type: Act['type'], min: number, max: number): fc.Arbitrary<Act> {
    return fc.integer({ min, max }).map((seconds) => ({ type, seconds }));
  }

  test('never overdue while beats are in time, always overdue after, one letter for each and one for the end', () => {
    fc.assert(
      fc.property(fc.array(act, { maxLength: 40 }), (all) => {
        const boat = new OneBoat();
        boat.beat();
        for (const { type, seconds } of all) {
          const before = boat.told.length;
          if (type === 'restart after') {
            boat.restartAfterMs(seconds * 1000);
            boat.beat();
            expect(boat.told.length).toBe(before);
            continue;
          }
          boat.waitMs(seconds * 1000);
          const isOverdue = type === 'silence';
          expect(boat.standing).toBe(isOverdue ? 'overdue' : 'heard');
          boat.beat();
          expect(boat.told.slice(before)).toEqual(isOverdue ? ['overdue', 'back'] : []);
        }
      }),
      { numRuns: 150 },
    );
  });

  test('with the watcher’s restarts inside a silence: told once, within the beats it has listened for', () => {
    fc.assert(
      fc.property(
        fc.array(
          fc.record({
            upS: fc.integer({ min: 1, max: 400 }),
            downS: fc.integer({ min: 1, max: 9000 }),
          }),
          {
            minLength: 1,
            maxLength: 8,
          },
        ),
        (turns) => {
          const boat = new OneBoat();
          boat.beat();
          let listenedS = 0;
          let isDue = false;
          for (const { upS, downS } of turns) {
            boat.waitMs(upS * 1000);
            listenedS += upS;
            // One whole interval since the start, and three in all.
            isDue ||= upS >= 60 && listenedS >= 180;
            const first = boat.told.filter((type) => type === 'overdue').length;
            expect(first).toBe(isDue ? 1 : 0);
            boat.restartAfterMs(downS * 1000);
          }
          boat.beat();
          expect(boat.told.filter((type) => type === 'back').length).toBe(isDue ? 1 : 0);
        },
      ),
      { numRuns: 150 },
    );
  });
});
