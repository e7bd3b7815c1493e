/** Steps of load against published arithmetic, and what is none. */
import { describe, expect, test } from 'vitest';
import { sourceResistance } from '../../../rules/index.ts';
import type { LegState, SourceState } from '../../../rules/index.ts';
import type { RuleContext } from '../../../rules/catalogue/rule.ts';
import { legAlone, medianError, medianOf, takeStep } from '../../../rules/catalogue/load-steps.ts';
import type { LoadStep, Samples } from '../../../rules/catalogue/load-steps.ts';
import { createWatch } from '../../../rules/watch.ts';
import { createRandom } from '../../../simulator/random.ts';
import { splitPhaseBoat } from './shore-boat.ts';

const boat = splitPhaseBoat();
const base = createWatch(boat).evaluate(0).panel;
const inlet = base.sources.find((own) => own.id === 'bow');

type Sample = readonly [v1: number, i1: number, v2: number, i2: number];

/** Plays samples `everyMs` apart and returns every step. */
function stepsOf(samples: readonly Sample[], everyMs = 1000): LoadStep[] {
  const memory: Samples = [];
  return samples.flatMap(([v1, i1, v2, i2], n) => {
    if (!inlet) throw new Error('the test boat has a bow inlet');
    const known = (value: number) => ({ value, evidence: 'measured' as const, ageMs: 0 });
    const legs = inlet.legs.map((leg, i): LegState => {
      const [volts, amps] = i === 0 ? [v1, i1] : [v2, i2];
      return { ...leg, live: 'live', volts: known(volts), amps: known(amps) };
    });
    const state: SourceState = { ...inlet, legs };
    const context: RuleContext = {
      boat,
      panel: base,
      past: { positions: {}, feeds: {}, activities: {}, live: {}, statements: {} },
      nowMs: (n + 1) * everyMs,
      passedMs: everyMs,
      mode: 'aboard',
      standing: new Set(),
    };
    return takeStep(context, state, memory) ?? [];
  });
}

const times = (count: number, sample: Sample): Sample[] =>
  Array.from({ length: count }, () => sample);

describe('a step', () => {
  // 122 V at 2 A and 116 V at 26 A: 0.25 ohm by Ohm's law.
  const loaded = [...times(5, [122, 2, 120, 5]), ...times(6, [116, 26, 120, 5])];

  test('gives the resistance that two readings give', () => {
    const [step, ...others] = stepsOf(loaded);
    expect(others).toEqual([]);
    expect(-(step?.volts[0] ?? 0) / (step?.amps[0] ?? 0)).toBeCloseTo(0.25, 9);
    const two = sourceResistance({ volts: 122, amps: 2 }, { volts: 116, amps: 26 });
    expect(-(step?.volts[0] ?? 0) / (step?.amps[0] ?? 0)).toBeCloseTo(two?.ohms ?? 0, 9);
    expect(step && legAlone(step)).toBe(0);
  });

  test('comes once, whatever the surge at its start', () => {
    const surge = [...times(5, [122, 2, 120, 5]), [104, 60, 120, 5] as const];
    expect(stepsOf([...surge, ...times(8, [119, 12, 120, 5])])).toHaveLength(1);
  });

  test('off counts as well as on', () => {
    expect(stepsOf([...loaded, ...times(6, [122, 2, 120, 5])])).toHaveLength(2);
  });

  test('of both legs belongs to neither alone', () => {
    const [step] = stepsOf([...times(5, [122, 2, 121, 5]), ...times(6, [120, 16, 119, 19])]);
    expect(step && legAlone(step)).toBeNull();
  });
});

describe('no step is', () => {
  test('power that goes or comes back, with the load of one leg', () => {
    const on: Sample = [122.2, 0.1, 121.2, 3.6];
    const off: Sample = [0, 0, 0, 0];
    expect(stepsOf([...times(6, on), ...times(6, off), ...times(6, on)])).toEqual([]);
    expect(stepsOf([...times(6, on), off, ...times(6, [122.2, 0.1, 121.2, 0])])).toEqual([]);
  });

  test('a sag without a change of current', () => {
    expect(stepsOf([...times(6, [122, 12, 120, 5]), ...times(6, [115, 12, 113, 5])])).toEqual([]);
  });

  test('a change below the least current', () => {
    expect(stepsOf([...times(6, [122, 2, 120, 5]), ...times(6, [121.7, 4.9, 120, 5])])).toEqual([]);
  });

  test('one beside volts that swing by more than a hundredth', () => {
    const swinging = times(6, [122, 2, 120, 5]).map(([v1, i1, v2, i2], n): Sample => [
      v1 + (n % 2) * 2,
      i1,
      v2,
      i2,
    ]);
    expect(stepsOf([...swinging, ...times(6, [119, 14, 120, 5])])).toEqual([]);
  });

  test('one that a sensor of five seconds saw', () => {
    const slow = [...times(6, [122, 2, 120, 5]), ...times(6, [119, 14, 120, 5])];
    expect(stepsOf(slow, 5000)).toEqual([]);
    expect(stepsOf(slow, 2000)).toHaveLength(1);
  });
});

test('the median of 30 steps is as near as its own error says', () => {
  const random = createRandom(3, 'median');
  const off = Array.from({ length: 400 }, () => {
    const steps = Array.from({ length: 30 }, () => 0.1 + 0.05 * random.gaussian());
    return Math.abs(medianOf(steps) - 0.1) / medianError(steps);
  });
  // Of a normal spread 95 % lie within 1.96 errors; the error itself is estimated from 30.
  const within = off.filter((errors) => errors < 1.96).length / off.length;
  expect(within).toBeGreaterThan(0.9);
  expect(within).toBeLessThan(0.99);
});
