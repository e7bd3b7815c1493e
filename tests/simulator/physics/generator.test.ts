import { describe, expect, test } from 'vitest';
import { magnitude, scale } from '../../../simulator/physics/complex.ts';
import { Generator } from '../../../simulator/physics/generator.ts';
import type { GeneratorParameters } from '../../../simulator/physics/generator.ts';
import { createRandom } from '../../../simulator/random.ts';
import { sablePlover, shipFor } from '../demo-boats.ts';

const LEGS = [0, 1] as const;
const RATED = { watts: 5000, amps: 5000 / 240 };
const NOTHING = { hour: 0, watts: 0, volts: [0, 0], amps: [0, 0] } as const;

function smallGenerator(): Generator {
  const parameters = shipFor(sablePlover).sources['small-generator'];
  if (parameters?.kind !== 'generator') throw new Error('no generator');
  return new Generator(parameters satisfies GeneratorParameters, LEGS, RATED);
}

/** Runs it against a balanced resistive load; volts and hertz after each tenth of a second. */
function run(
  generator: Generator,
  watts: number,
  seconds: number,
): { volts: number; hertz: number }[] {
  const course = [];
  // Rated watts at 120 V, half of it on each leg.
  const siemens = watts / 2 / 120 ** 2;
  for (let at = 0; at < seconds * 10; at += 1) {
    const winding = magnitude(generator.impedance[0] ?? { re: 0, im: 0 });
    const { re = 0, im = 0 } = generator.impedance[0] ?? {};
    const divider = magnitude({ re: 1 + re * siemens, im: im * siemens });
    const volts = winding === 0 ? 0 : generator.emfVolts[0] / divider;
    const amps = volts * siemens;
    const delivered = 2 * volts * amps;
    generator.advance(0.1, {
      ...NOTHING,
      watts: delivered,
      volts: [volts, volts],
      amps: [amps, amps],
    });
    course.push({ volts, hertz: generator.hertz });
  }
  return course;
}

function started(): Generator {
  const generator = smallGenerator();
  generator.start();
  run(generator, 0, 10);
  return generator;
}

test('it takes seconds to start, and volts come last', () => {
  const generator = smallGenerator();
  generator.start();
  const course = run(generator, 0, 10);
  expect(course[10]?.hertz).toBe(0);
  const turning = course.findIndex(({ hertz }) => hertz > 10);
  const live = course.findIndex(({ volts }) => volts > 100);
  expect(turning).toBeGreaterThan(15);
  expect(live).toBeGreaterThan(turning);
  expect(live).toBeLessThan(70);
});

test('it stops over seconds and is dead then', () => {
  const generator = started();
  generator.stop();
  const course = run(generator, 0, 6);
  expect(course[5]?.hertz).toBeGreaterThan(40);
  expect(course.at(-1)).toEqual({ volts: 0, hertz: 0 });
});

// ISO 8528-5 class G2 (as tabled at mrb78.info): frequency droop at most 5 %, steady volts within
// 2.5 %, on a load step speed down at most 10 % and back in 5 s, volts down at most 20 % and back
// in 6 s.
describe('class G2 of ISO 8528-5 is kept', () => {
  test('droop between empty and full is at most 5 %, steady volts within 2.5 %', () => {
    const generator = started();
    const empty = run(generator, 0, 10).at(-1);
    const full = run(generator, RATED.watts, 30).at(-1);
    expect(empty?.hertz).toBeCloseTo(61.5, 1);
    expect(full?.hertz).toBeCloseTo(59, 0);
    expect(((empty?.hertz ?? 0) - (full?.hertz ?? 0)) / 60).toBeLessThan(0.05);
    const middle = ((empty?.volts ?? 0) + (full?.volts ?? 0)) / 2;
    expect(Math.abs((full?.volts ?? 0) - middle) / middle).toBeLessThan(0.025);
  });

  test('a step to 80 % dips the volts by 5 to 20 %, and they are back within 6 s', () => {
    const generator = started();
    const course = run(generator, 0.8 * RATED.watts, 15);
    const lowest = Math.min(...course.map(({ volts }) => volts));
    expect(lowest).toBeLessThan(0.95 * 123);
    expect(lowest).toBeGreaterThan(0.8 * 123);
    const settled = course.at(-1)?.volts ?? 0;
    expect(Math.abs((course[60]?.volts ?? 0) / settled - 1)).toBeLessThan(0.025);
    expect(Math.min(...course.map(({ hertz }) => hertz))).toBeGreaterThan(60 * 0.9);
  });
});

test('heaters of half as much again as it has pull speed and volts down', () => {
  const course = run(started(), 1.6 * RATED.watts, 30);
  expect(course.at(-1)?.hertz).toBeLessThan(57);
  expect(course.at(-1)?.volts).toBeLessThan(110);
});

test('motors, which hold their watts, stall it', () => {
  const generator = started();
  for (let second = 0; second < 30; second += 1) {
    generator.advance(1, { ...NOTHING, watts: 8000, volts: [100, 100], amps: [30, 30] });
  }
  expect(generator.isRunning).toBe(false);
  expect(generator.hertz).toBe(0);
});

test('its own breaker opens when one leg stays far beyond its rating', () => {
  const generator = started();
  for (let second = 0; second < 600; second += 1) {
    generator.advance(1, { ...NOTHING, watts: 3000, volts: [115, 125], amps: [40, 0] });
  }
  expect(generator.impedance[0]).toBeNull();
});

test('the winding behind its terminals is mostly reactance', () => {
  const ohms = started().impedance[0];
  expect(ohms?.im).toBeGreaterThan(ohms?.re ?? 0);
  expect(magnitude(scale(ohms ?? { re: 0, im: 0 }, RATED.amps))).toBeLessThan(0.2 * 120);
});

// Steady-state frequency band of class G2 of ISO 8528-5: 1.5 % (as tabled at mrb78.info).
test('it hunts, seed by seed otherwise, within the steady band of class G2', () => {
  const parameters = shipFor(sablePlover).sources['small-generator'];
  if (parameters?.kind !== 'generator') throw new Error('no generator');
  const courses = [1, 2].map((seed) => {
    const generator = new Generator(parameters, LEGS, RATED, createRandom(seed, 'hunting'));
    generator.start();
    run(generator, 2000, 20);
    return run(generator, 2000, 120);
  });
  for (const course of courses) {
    const hertz = course.map((own) => own.hertz);
    const band = Math.max(...hertz) - Math.min(...hertz);
    expect(band).toBeGreaterThan(0.05);
    expect(band / 60).toBeLessThan(0.015);
    const volts = course.map((own) => own.volts);
    expect(Math.max(...volts) - Math.min(...volts)).toBeGreaterThan(0.1);
  }
  expect(courses[0]?.[600]?.hertz).not.toBe(courses[1]?.[600]?.hertz);
});
