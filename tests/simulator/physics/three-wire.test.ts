import { describe, expect, test } from 'vitest';
import {
  ZERO,
  add,
  complex,
  magnitude,
  multiply,
  subtract,
} from '../../../simulator/physics/complex.ts';
import type { Complex } from '../../../simulator/physics/complex.ts';
import { solveThreeWire } from '../../../simulator/physics/three-wire.ts';
import type { LoadSide, SourceSide } from '../../../simulator/physics/three-wire.ts';

const STIFF = complex(1e5);

function source(neutralOhms: number): SourceSide {
  return { emf: [complex(120), complex(-120)], siemens: [STIFF, STIFF], neutralOhms };
}

function loads(first: Complex, second: Complex): LoadSide {
  return { toNeutral: [first, second], across: ZERO, extra: [ZERO, ZERO] };
}

const ohms = (resistance: number): Complex => complex(1 / resistance);
/** Siemens of R + jX ohms. */
const impedance = (r: number, x: number): Complex => {
  const square = r * r + x * x;
  return complex(r / square, -x / square);
};

function legVolts(neutralOhms: number, first: Complex, second: Complex): [number, number] {
  const { legs } = solveThreeWire(source(neutralOhms), loads(first, second));
  return [magnitude(legs[0]), magnitude(legs[1])];
}

describe('an open neutral puts the legs in series across 240 V', () => {
  // Loads of 100 W and 200 W lamps at 120 V as published at studylib.net/5726865; the volts follow
  // from 240 V over the resistances in series.
  test('lamps of 144 and 72 ohms get 160 and 80 V', () => {
    const [first, second] = legVolts(Infinity, ohms(144), ohms(72));
    expect(first).toBeCloseTo(160, 1);
    expect(second).toBeCloseTo(80, 1);
  });

  // Simulated with ngspice.
  test('a 9.6 ohm heater against a motor of 8.5 + j5.268 ohms: 122.22 and 127.31 V', () => {
    const [first, second] = legVolts(Infinity, ohms(9.6), impedance(8.5, 5.268));
    expect(first).toBeCloseTo(122.22, 1);
    expect(second).toBeCloseTo(127.31, 1);
  });

  test('the legs always add up to line to line as phasors', () => {
    const { legs } = solveThreeWire(source(Infinity), loads(ohms(3), impedance(5, 4)));
    expect(magnitude(subtract(legs[0], legs[1]))).toBeCloseTo(240, 1);
  });
});

// Simulated with ngspice: 4 and 24 ohms with a neutral that wears out.
test.each([
  [0.01, 119.751, 120.249],
  [0.05, 118.768, 121.232],
  [0.5, 109.091, 130.909],
  [5, 69.15, 170.85],
])('a neutral of %f ohm shifts the legs to %f and %f V', (neutralOhms, first, second) => {
  const [a, b] = legVolts(neutralOhms, ohms(4), ohms(24));
  expect(a).toBeCloseTo(first, 1);
  expect(b).toBeCloseTo(second, 1);
});

// Simulated with ngspice: 20 A in phase against 15 A lagging by pf 0.8.
test('the neutral carries the phasor difference of the legs: 12.04 A, not 5', () => {
  const first = complex(20 / 120);
  const second = complex((15 / 120) * 0.8, (-15 / 120) * 0.6);
  const { legs } = solveThreeWire(source(1e-6), loads(first, second));
  const neutral = add(multiply(first, legs[0]), multiply(second, legs[1]));
  expect(magnitude(neutral)).toBeCloseTo(12.0416, 2);
});

test('a 240 V load adds nothing to the neutral', () => {
  const load = { ...loads(ohms(10), ohms(10)), across: ohms(20) };
  const { neutral } = solveThreeWire(source(0.05), load);
  expect(magnitude(neutral)).toBeCloseTo(0, 4);
});

test('with one pole open a 240 V load feeds the dead leg through itself', () => {
  const side: SourceSide = { ...source(1e-6), siemens: [STIFF, ZERO] };
  const load = { ...loads(ohms(12), ohms(12)), across: ohms(12) };
  const { legs } = solveThreeWire(side, load);
  // 12 ohms across in series with the dead leg's 12 ohms to neutral: half of 120 V.
  expect(magnitude(legs[1])).toBeCloseTo(60, 1);
});

test('with nothing connected every leg shows its open-circuit volts', () => {
  const [first, second] = legVolts(0.1, ZERO, ZERO);
  expect(first).toBeCloseTo(120, 3);
  expect(second).toBeCloseTo(120, 3);
});
