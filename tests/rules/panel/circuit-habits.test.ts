/** Habits of a circuit: phases, what is learned, and that gaps in the readings count as nothing. */
import { readFileSync } from 'node:fs';
import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { formatProblem, readBoat } from '../../../rules/index.ts';
import { circuitHabits, copyHabits } from '../../../rules/panel/circuit-habits.ts';
import type { SavedHabits } from '../../../rules/panel/circuit-habits.ts';
import { median } from '../../../rules/panel/habit-memory.ts';
import type { CircuitHabits } from '../../../rules/panel/panel-state.ts';

const text = readFileSync(new URL('../../fixtures/boats/loads.yaml', import.meta.url), 'utf8');
const read = readBoat(text, 'loads.yaml');
if (!read.boat) throw new Error(read.problems.map(formatProblem).join('\n'));
const { boat } = read;
const circuitOf = (id: string) => {
  const circuit = boat.circuits.find((own) => own.id === id);
  if (!circuit) throw new Error(`no circuit ${id}`);
  return circuit;
};
const PUMP = circuitOf('pump');
const OUTLETS = circuitOf('outlets');
/** A multiple of 24 h, so that a day begins here. */
const START_MS = 19_675 * 86_400_000;
const MINUTE_MS = 60_000;
/** Three expected intervals of a minute. */
const LONGEST_STEP_MS = 180_000;

interface Sample {
  afterMs: number;
  amps: number;
}

/** Plays samples, each `afterMs` after the one before, and returns the last state. */
function play(habits: SavedHabits, samples: readonly Sample[], circuit = PUMP, fromMs = START_MS) {
  let nowMs = fromMs;
  let state: CircuitHabits | undefined;
  for (const { afterMs, amps } of samples) {
    nowMs += afterMs;
    state = circuitHabits(
      habits,
      boat,
      circuit,
      { value: amps, evidence: 'measured', ageMs: 0 },
      nowMs,
    );
  }
  if (!state) throw new Error('nothing was played');
  return { state, nowMs };
}

const minutes = (...runs: [count: number, amps: number][]): Sample[] =>
  runs.flatMap(([count, amps]) =>
    Array.from({ length: count }, () => ({ afterMs: MINUTE_MS, amps })),
  );

describe('phases', () => {
  it('names what a clamp can tell, and never "off"', () => {
    const phases = [0, 0.3, 0.9, 3, 3].map((amps, i) => {
      const habits: SavedHabits = {};
      play(habits, minutes([3, 0]));
      return play(habits, minutes([i === 4 ? 2 : 1, amps]), PUMP, START_MS + 3 * MINUTE_MS).state
        .phase;
    });
    // Stated running current 3 A: at work above 40 % of it, 1.2 A; drawing above 0.5 A.
    expect(phases).toEqual(['not drawing', 'not drawing', 'idle', 'starting', 'running']);
  });

  it('is unknown without a fresh reading, and keeps what it counted', () => {
    const habits: SavedHabits = {};
    const { nowMs } = play(habits, minutes([10, 3]));
    const unknown = { value: null, evidence: 'unknown', ageMs: null } as const;
    const state = circuitHabits(habits, boat, PUMP, unknown, nowMs + 10 * MINUTE_MS);
    expect(state.phase).toBe('unknown');
    expect(state.lastHour).toMatchObject({ dutyRatio: 1, runMinutes: 9 });
    expect(state.lastHour.coverageRatio).toBeLessThan(0.2);
  });

  it('is unknown, with nothing counted, before the first reading', () => {
    const unknown = { value: null, evidence: 'unknown', ageMs: null } as const;
    const habits: SavedHabits = {};
    const state = circuitHabits(habits, boat, PUMP, unknown, START_MS);
    expect(state).toMatchObject({
      phase: 'unknown',
      runningAmps: null,
      startPeakAmps: null,
      normal: null,
    });
    expect(state.lastDay).toEqual({ dutyRatio: null, coverageRatio: 0, starts: 0, runMinutes: 0 });
    expect(habits).toEqual({});
  });
});

describe('learning', () => {
  it('learns the settled current, unmoved by one jam', () => {
    const habits: SavedHabits = {};
    play(habits, minutes([2, 0], [30, 3.1], [4, 0], [30, 3.0], [3, 9], [30, 3.1], [4, 0]));
    expect(
      play(habits, minutes([1, 0]), PUMP, START_MS + 200 * MINUTE_MS).state.runningAmps,
    ).toBeCloseTo(3.1, 1);
  });

  it('learns the compressor, not the fan that runs most of the time', () => {
    const habits: SavedHabits = {};
    const cycle = minutes([20, 0.8], [12, 8]);
    const { state } = play(habits, [...cycle, ...cycle, ...cycle, ...minutes([5, 0.8])], OUTLETS);
    expect(state.runningAmps).toBeCloseTo(8, 1);
    expect(state.phase).toBe('idle');
  });

  it('tells a start peak only where a reading showed one', () => {
    const fast = [0, 0, 14, 3.1, 3, 3].map((amps) => ({ afterMs: 2000, amps }));
    expect(play({}, [...fast, { afterMs: 8000, amps: 3 }]).state.startPeakAmps).toBe(14);
    const slow = [0, 0, 3.1, 3.1, 3, 3].map((amps) => ({ afterMs: 2000, amps }));
    expect(play({}, [...slow, { afterMs: 8000, amps: 3 }]).state.startPeakAmps).toBeNull();
  });

  it('takes its normal from whole days, by their medians', () => {
    const habits: SavedHabits = {};
    // 30 minutes an hour for five days, but three hours on end on the third.
    const hour = minutes([30, 0], [30, 3]);
    const day = Array.from({ length: 24 }, () => hour).flat();
    const odd = [...Array.from({ length: 20 }, () => hour).flat(), ...minutes([60, 0], [180, 3])];
    const { state } = play(habits, [
      { afterMs: 0, amps: 0 },
      ...day,
      ...day,
      ...odd,
      ...day,
      ...day,
      ...minutes([1, 0]),
    ]);
    expect(state.normal).toEqual({
      days: 5,
      dutyRatio: 0.5,
      startsPerDay: 24,
      longestRunMinutes: 30,
      longestRestMinutes: 30,
    });
  });

  it('leaves out a day of which less than half is known', () => {
    const habits: SavedHabits = {};
    play(habits, minutes([600, 3]));
    expect(play(habits, minutes([10, 3]), PUMP, START_MS + 86_400_000).state.normal).toBeNull();
    expect(play(habits, minutes([800, 3]), PUMP, START_MS + 90_000_000).nowMs).toBeGreaterThan(0);
    expect(
      play(habits, minutes([2, 3]), PUMP, START_MS + 2 * 86_400_000).state.normal,
    ).toMatchObject({ days: 1 });
  });
});

describe('starts', () => {
  it('counts a start that was seen, and none that lies in a gap', () => {
    const habits: SavedHabits = {};
    const seen = play(habits, minutes([5, 0], [5, 3], [5, 0]));
    expect(seen.state.lastHour.starts).toBe(1);
    expect(seen.state.lastStartMs).toBe(START_MS + 6 * MINUTE_MS);
    const unseen = play(
      habits,
      [{ afterMs: 10 * MINUTE_MS, amps: 3 }, ...minutes([2, 3])],
      PUMP,
      seen.nowMs,
    );
    expect(unseen.state.lastHour.starts).toBe(1);
    expect(habits['pump']?.stretch).toEqual({ sinceMs: null, seenMs: 2 * MINUTE_MS });
  });

  it('goes on with a run over a short gap, and begins anew after a long one', () => {
    const short: SavedHabits = {};
    play(short, [
      ...minutes([2, 0], [10, 3]),
      { afterMs: 4 * MINUTE_MS, amps: 3 },
      ...minutes([1, 3]),
    ]);
    expect(short['pump']?.stretch).toEqual({
      sinceMs: START_MS + 3 * MINUTE_MS,
      seenMs: 10 * MINUTE_MS,
    });
    const long: SavedHabits = {};
    play(long, [
      ...minutes([2, 0], [10, 3]),
      { afterMs: 6 * MINUTE_MS, amps: 3 },
      ...minutes([1, 3]),
    ]);
    expect(long['pump']?.stretch).toEqual({ sinceMs: null, seenMs: MINUTE_MS });
  });
});

const sample = fc.record({
  afterMs: fc.oneof(
    fc.integer({ min: 1, max: LONGEST_STEP_MS }),
    fc.integer({ min: LONGEST_STEP_MS + 1, max: 8_000_000 }),
  ),
  amps: fc.constantFrom(0, 0.7, 3, 3.2, 9),
});
const samples = fc.array(sample, { minLength: 1, maxLength: 120 });
const seed = Number(process.env['FC_SEED'] ?? Date.now() % 1_000_000);
const options = { seed, numRuns: 150 };

/** What must not depend on how often it was looked at. */
const countsOf = (habits: SavedHabits) => {
  const own = habits['pump'];
  return (
    own && {
      hour: own.hour,
      day: own.day,
      today: own.today,
      days: own.days,
      runs: own.runs,
      stretch: own.stretch,
      lastStartMs: own.lastStartMs,
    }
  );
};

describe(`for any readings (seed ${seed})`, () => {
  it('splitting the time between two readings changes no count', () => {
    fc.assert(
      fc.property(samples, fc.double({ min: 0.05, max: 0.95, noNaN: true }), (played, share) => {
        const whole: SavedHabits = {};
        const split: SavedHabits = {};
        const parts = played.flatMap((own, i) => {
          const before = played[i - 1];
          const firstMs = Math.floor(own.afterMs * share);
          if (!before || own.afterMs > LONGEST_STEP_MS || firstMs === 0) return [own];
          return [
            { afterMs: firstMs, amps: before.amps },
            { afterMs: own.afterMs - firstMs, amps: own.amps },
          ];
        });
        play(whole, played);
        play(split, parts);
        expect(countsOf(split)).toEqual(countsOf(whole));
      }),
      options,
    );
  });

  it('knows exactly the time that is no gap, and runs no longer than that', () => {
    fc.assert(
      fc.property(samples, (played) => {
        const habits: SavedHabits = {};
        let known = 0;
        let ran = 0;
        played.forEach((own, i) => {
          const before = played[i - 1];
          if (!before || own.afterMs > LONGEST_STEP_MS) return;
          known += own.afterMs;
          // Stated running current 3 A x 0.4: at work above 1.2 A.
          if (before.amps > 1.2) ran += own.afterMs;
        });
        const end = play(habits, played);
        fc.pre(end.nowMs - START_MS < 20 * 3_600_000);
        const day = habits['pump']?.day ?? [];
        expect(day.reduce((sum, own) => sum + own[2], 0)).toBe(known);
        expect(day.reduce((sum, own) => sum + own[1], 0)).toBe(ran);
      }),
      options,
    );
  });

  it('looking again without a new reading changes nothing', () => {
    fc.assert(
      fc.property(samples, fc.integer({ min: 1, max: 100_000 }), (played, laterMs) => {
        const habits: SavedHabits = {};
        const { nowMs } = play(habits, played);
        const before = copyHabits(habits);
        const old = {
          value: played.at(-1)?.amps ?? 0,
          evidence: 'measured',
          ageMs: laterMs,
        } as const;
        circuitHabits(habits, boat, PUMP, old, nowMs + laterMs);
        expect(habits).toEqual(before);
      }),
      options,
    );
  });

  it('a restart in between changes nothing', () => {
    fc.assert(
      fc.property(samples, samples, (before, after) => {
        const straight: SavedHabits = {};
        play(straight, [...before, ...after]);
        const first: SavedHabits = {};
        const { nowMs } = play(first, before);
        const restored = copyHabits(first);
        play(restored, after, PUMP, nowMs);
        expect(restored).toEqual(straight);
      }),
      options,
    );
  });
});

it('finds the middle value', () => {
  expect(median([])).toBeNull();
  expect(median([3])).toBe(3);
  expect(median([9, 1, 2])).toBe(2);
  expect(median([4, 1, 2, 9])).toBe(3);
});
