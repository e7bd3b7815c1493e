/** What the wall clock does to the record: nothing is re-timed, one row says what it all means. */
import fc from 'fast-check';
import { setImmediate as turn } from 'node:timers/promises';
import { describe, expect, it } from 'vitest';
import { manualClock } from '../../daemon/clock.ts';
import type { ManualClock } from '../../daemon/clock.ts';
import { type Boot, TimeAxis } from '../../daemon/store/time-axis.ts';
import { startingMs, watchWallClock } from '../../daemon/wall-clock.ts';

/** 2026-05-01 06:00 UTC. */
const START_MS = 1_777_615_200_000;
const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;

/** A computer whose wall clock runs on `clock` plus `errorMs`, and may be told to jump. */
class Computer {
  readonly clock: ManualClock;
  readonly lines: string[] = [];
  readonly #boots: Map<number, Boot>;
  wallMinusClockMs: number;
  synchronisedAtWallMs: number | null = null;
  machineRun: string | null = 'run-a';

  constructor(startMs: number, wallMs: number, boots: readonly Boot[] = []) {
    this.clock = manualClock(startMs);
    this.wallMinusClockMs = wallMs - startMs;
    this.#boots = new Map(boots.map((boot) => [boot.number, boot]));
  }

  get wallMs(): number {
    return this.clock.nowMs() + this.wallMinusClockMs;
  }

  boots(): Boot[] {
    return [...this.#boots.values()].sort((a, b) => a.startsAtMs - b.startsAtMs);
  }

  start(): void {
    const { machineRun } = this;
    watchWallClock({
      clock: this.clock,
      wall: {
        nowMs: () => this.wallMs,
        machineRun,
        synchronisedAtMs: async () => this.synchronisedAtWallMs,
      },
      record: {
        boots: () => this.boots(),
        recordBoots: (boots) => {
          for (const boot of boots) this.#boots.set(boot.number, boot);
        },
      },
      log: (line) => this.lines.push(line),
    });
  }

  /** A time server steps the clock by so much, and says so. */
  synchronise(jumpMs: number): void {
    this.wallMinusClockMs += jumpMs;
    this.synchronisedAtWallMs = this.wallMs;
  }

  async passes(ms: number): Promise<void> {
    const endMs = this.clock.nowMs() + ms;
    while (this.clock.nowMs() < endMs) {
      this.clock.advanceTo(Math.min(endMs, this.clock.nowMs() + 1000));
      await turn();
    }
  }
}

describe('a wall clock that is right', () => {
  it('is unverified until a time server vouches for it, and then changes nothing else', async () => {
    const computer = new Computer(START_MS, START_MS);
    computer.start();
    await computer.passes(10 * 60_000);
    expect(computer.boots()).toEqual([
      { number: 1, startsAtMs: START_MS, offsetMs: 0, quality: 'unverified', machineRun: 'run-a' },
    ]);
    computer.synchronise(0);
    await computer.passes(10_000);
    expect(computer.boots()).toMatchObject([{ number: 1, offsetMs: 0, quality: 'synchronised' }]);
    expect(computer.lines).toEqual(['The wall clock is synchronised.']);
  });

  it('is not mistrusted for what a time server does by small steps', async () => {
    const computer = new Computer(START_MS, START_MS);
    computer.synchronise(0);
    computer.start();
    await computer.passes(5000);
    computer.wallMinusClockMs += 1500;
    await computer.passes(5000);
    expect(computer.boots()).toMatchObject([{ number: 1, offsetMs: 0, quality: 'synchronised' }]);
  });
});

describe('a wall clock that is wrong at boot', () => {
  it.each([
    ['behind by a day', DAY_MS],
    ['at 1970', START_MS - HOUR_MS],
    ['ahead by twelve years', -12 * 365 * DAY_MS],
  ])('%s is put right in one row, and moves every record of this start', async (_how, lateMs) => {
    const computer = new Computer(START_MS - lateMs, START_MS - lateMs);
    computer.start();
    await computer.passes(90_000);
    const recordedAtMs = computer.clock.nowMs();
    await computer.passes(60_000);
    computer.synchronise(lateMs);
    await computer.passes(10_000);
    expect(computer.boots()).toMatchObject([
      { number: 1, startsAtMs: START_MS - lateMs, offsetMs: lateMs, quality: 'corrected' },
    ]);
    const axis = new TimeAxis(computer.boots());
    expect(axis.utcMsOf(recordedAtMs)).toBe(START_MS + 90_000);
    // Nothing moved for those who are inside: the axis of the present boot is its own clock.
    expect(axis.presentMsOf(recordedAtMs)).toBe(recordedAtMs);
  });

  it('also corrects the starts before it that shared its mistake', async () => {
    const first = new Computer(START_MS - DAY_MS, START_MS - DAY_MS);
    first.start();
    await first.passes(60_000);
    const again = new Computer(first.clock.nowMs() + 5000, first.wallMs + 5000, first.boots());
    again.start();
    await again.passes(60_000);
    again.synchronise(DAY_MS);
    await again.passes(10_000);
    expect(again.boots()).toMatchObject([
      { number: 1, offsetMs: DAY_MS, quality: 'corrected' },
      { number: 2, offsetMs: DAY_MS, quality: 'corrected' },
    ]);
  });

  it('begins after everything that is on the disk, and lies no earlier than that', async () => {
    const before = new Computer(START_MS, START_MS);
    before.synchronise(0);
    before.start();
    await before.passes(HOUR_MS / 60);
    const lastMs = before.clock.nowMs();
    // The clock was saved an hour before the power went, and the boat lay for three days.
    const wallMs = lastMs - HOUR_MS;
    const startMs = startingMs(wallMs, lastMs);
    expect(startMs).toBeGreaterThan(lastMs);
    const computer = new Computer(startMs, wallMs, before.boots());
    computer.machineRun = 'run-b';
    computer.start();
    expect(computer.boots().at(-1)).toMatchObject({ offsetMs: 0, quality: 'unverified' });
    await computer.passes(60_000);
    computer.synchronise(3 * DAY_MS + HOUR_MS);
    await computer.passes(10_000);
    const axis = new TimeAxis(computer.boots());
    expect(axis.utcMsOf(axis.presentMsOf(startMs))).toBe(lastMs + 3 * DAY_MS);
    expect(axis.utcMsOf(axis.presentMsOf(lastMs))).toBe(lastMs);
    expect(axis.spans(axis.presentMsOf(lastMs - 1000), axis.presentMsOf(startMs + 1000))).toEqual([
      { fromMs: lastMs - 1000, toMs: startMs, shiftMs: expect.any(Number) },
      { fromMs: startMs, toMs: startMs + 1000, shiftMs: 0 },
    ]);
  });

  it('and never verified is known to have ended before the next one that is', async () => {
    const lost = new Computer(START_MS + 100 * DAY_MS, START_MS + 100 * DAY_MS);
    lost.start();
    await lost.passes(60_000);
    const lastMs = lost.clock.nowMs();
    const computer = new Computer(startingMs(START_MS, lastMs), START_MS, lost.boots());
    computer.machineRun = 'run-b';
    computer.synchronise(0);
    computer.start();
    await computer.passes(10_000);
    const axis = new TimeAxis(computer.boots());
    const inUtc = (storedMs: number): number => axis.utcMsOf(axis.presentMsOf(storedMs));
    expect(inUtc(computer.boots()[1]?.startsAtMs ?? 0)).toBe(START_MS);
    expect(inUtc(lastMs)).toBeLessThanOrEqual(START_MS);
    expect(computer.boots()).toMatchObject([
      { quality: 'unverified' },
      { quality: 'synchronised' },
    ]);
  });
});

describe('a wall clock that jumps though it was trusted', () => {
  it.each([DAY_MS, -DAY_MS, HOUR_MS, -5000])(
    'by %d ms begins a boot of its own, and is believed only when synchronised anew',
    async (jumpMs) => {
      const computer = new Computer(START_MS, START_MS);
      computer.synchronise(0);
      computer.start();
      await computer.passes(60_000);
      computer.wallMinusClockMs += jumpMs;
      await computer.passes(60_000);
      expect(computer.boots()).toMatchObject([
        { number: 1, offsetMs: 0, quality: 'synchronised' },
        { number: 2, offsetMs: jumpMs, quality: 'unverified' },
      ]);
      expect(computer.lines.join()).toMatch(/jumped (forward|back) by \d+ s/);
      computer.synchronise(-jumpMs);
      await computer.passes(60_000);
      expect(computer.boots()).toMatchObject([
        { number: 1, offsetMs: 0, quality: 'synchronised' },
        { number: 2, offsetMs: 0, quality: 'corrected' },
      ]);
      expect(new TimeAxis(computer.boots()).isStraight).toBe(true);
    },
  );
});

describe('the axis', () => {
  const boots = fc
    .array(
      fc.record({
        lengthMs: fc.integer({ min: 1, max: 10_000 }),
        offsetMs: fc.integer({ min: -30_000, max: 30_000 }),
      }),
      { maxLength: 6 },
    )
    .map((rows) => {
      let startsAtMs = 0;
      return rows.map(({ lengthMs, offsetMs }, index): Boot => {
        const boot: Boot = {
          number: index + 1,
          startsAtMs,
          offsetMs,
          quality: 'unverified',
          machineRun: null,
        };
        startsAtMs += lengthMs;
        return boot;
      });
    });

  it('finds every stored instant under its present one, and no other', () => {
    const span = fc.tuple(fc.integer({ min: -40_000, max: 90_000 }), fc.nat({ max: 30_000 }));
    const stored = fc.integer({ min: 0, max: 60_000 });
    fc.assert(
      fc.property(boots, span, stored, (all, [fromMs, lengthMs], storedMs) => {
        const axis = new TimeAxis(all);
        const presentMs = axis.presentMsOf(storedMs);
        const isAsked = presentMs >= fromMs && presentMs < fromMs + lengthMs;
        const found = axis
          .spans(fromMs, fromMs + lengthMs)
          .filter((piece) => storedMs >= piece.fromMs && storedMs < piece.toMs);
        expect(found.map(({ shiftMs }) => storedMs + shiftMs)).toEqual(isAsked ? [presentMs] : []);
      }),
    );
  });

  it('gives UTC by the boot that a record belongs to', () => {
    fc.assert(
      fc.property(boots, fc.integer({ min: 0, max: 60_000 }), (all, storedMs) => {
        const axis = new TimeAxis(all);
        const boot = all.findLast(({ startsAtMs }) => startsAtMs <= storedMs);
        const utcMs = axis.utcMsOf(axis.presentMsOf(storedMs));
        expect(utcMs).toBe(storedMs + (boot?.offsetMs ?? 0));
      }),
    );
  });
});
