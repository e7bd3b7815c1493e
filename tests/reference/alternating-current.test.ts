/** AC power and the neutral against published examples and the complex numbers of mathjs. */
import * as fc from 'fast-check';
import {
  add,
  arg,
  complex,
  conj,
  divide,
  isComplex,
  multiply,
  subtract,
  type Complex,
} from 'mathjs';
import { describe, expect, it } from 'vitest';
import {
  ampsOf,
  ampsThrough,
  magnitude,
  neutralAmps,
  phasor,
  polar,
  powerFactorOf,
  powerFrom,
  powerOf,
  powerOfSamples,
  rootMeanSquare,
  seriesOhms,
  splitPhaseVoltages,
  sumOfPowers,
  voltAmpsOf,
  type AcPower,
  type Phasor,
} from '../../rules/electrical/index.ts';
import { amount } from '../rules/electrical/amounts.ts';

const existing = <T>(value: T | null): T => {
  if (value === null) throw new Error('expected a value');
  return value;
};

describe('power', () => {
  it('check 17: 60 ohm and 160 mH on 120 V 60 Hz', () => {
    // Kuphaldt, Lessons in Electric Circuits II, chapter 11 (problem and answer from memory);
    // digits derived by arithmetic.
    const ohms = existing(seriesOhms(60, 0.16, 60));
    const power = existing(powerOf(phasor(120), existing(ampsThrough(phasor(120), ohms))));
    expect(magnitude(ohms)).toBeCloseTo(85.078, 3);
    expect(power.watts).toBeCloseTo(119.365, 2);
    expect(power.vars).toBeCloseTo(119.998, 2);
    expect(voltAmpsOf(power)).toBeCloseTo(169.256, 2);
    expect(powerFactorOf(power)).toBeCloseTo(0.7052, 4);
    expect(ampsOf(power, 120)).toBeCloseTo(1.4105, 4);
  });

  it('Kuphaldt, the same book: 60 ohm on 120 V take 2 A and 240 W', () => {
    const amps = existing(ampsThrough(phasor(120), phasor(60)));
    expect(amps).toEqual({ re: 2, im: 0 });
    expect(powerOf(phasor(120), amps)).toEqual({ watts: 240, vars: 0 });
  });

  it('check 18: 1500 W, 12 A at 0.85 and 300 W with 400 var on 120 V', () => {
    // Derived by arithmetic. Adding the amperes would give 28.667 A.
    const sum = existing(
      sumOfPowers([
        { watts: 1500, vars: 0 },
        existing(powerFrom(120, 12, 0.85)),
        { watts: 300, vars: 400 },
      ]),
    );
    expect(sum.watts).toBeCloseTo(3024, 2);
    expect(sum.vars).toBeCloseTo(1158.57, 2);
    expect(voltAmpsOf(sum)).toBeCloseTo(3238.34, 2);
    expect(powerFactorOf(sum)).toBeCloseTo(0.93381, 5);
    expect(ampsOf(sum, 120)).toBeCloseTo(26.986, 2);
  });

  it('derived by arithmetic: 12 kW with 16 kvar and 2.78 kW have power factor 0.6785', () => {
    const sum = existing(
      sumOfPowers([
        { watts: 12_000, vars: 16_000 },
        { watts: 2780, vars: 0 },
      ]),
    );
    expect(powerFactorOf(sum)).toBeCloseTo(0.6785, 4);
    expect((voltAmpsOf(sum) ?? NaN) / 1000).toBeCloseTo(21.78, 2);
  });
});

describe('sampled waves', () => {
  const angles = Array.from({ length: 64 }, (_, at) => (2 * Math.PI * at) / 64);
  const volts = angles.map((angle) => 120 * Math.SQRT2 * Math.sin(angle));
  const lagging = angles.map((angle) => 10 * Math.SQRT2 * Math.sin(angle - Math.acos(0.8)));

  it('derived by arithmetic: 10 A at 0.8 lagging on 120 V', () => {
    const power = existing(powerOfSamples(volts, lagging));
    expect(power.volts).toBeCloseTo(120, 6);
    expect(power.watts).toBeCloseTo(960, 6);
    expect(power.voltAmps).toBeCloseTo(1200, 6);
    expect(power.nonactiveVoltAmps).toBeCloseTo(720, 6);
  });

  it('derived by arithmetic: 3 A of third harmonic lower the power factor to 0.76626', () => {
    const distorted = lagging.map(
      (amps, at) => amps + 3 * Math.SQRT2 * Math.sin(3 * (angles[at] ?? NaN)),
    );
    const power = existing(powerOfSamples(volts, distorted));
    expect(power.amps).toBeCloseTo(10.4403, 4);
    expect(power.watts).toBeCloseTo(960, 6);
    expect(power.powerFactor).toBeCloseTo(0.76626, 5);
  });

  it('derived by arithmetic: a sine with a peak of 170 V is 120.2 V', () => {
    expect(rootMeanSquare(angles.map((angle) => 170 * Math.sin(angle)))).toBeCloseTo(120.2, 1);
  });
});

describe('neutral', () => {
  it('check 16: 20 A at power factor 1 and 15 A at 0.8 lagging leave 12.0416 A', () => {
    // Derived by arithmetic; a circuit simulator agrees (neutral-phasor.cir).
    expect(neutralAmps(phasor(20), polar(15, -Math.acos(0.8)))).toBeCloseTo(12.0416, 4);
  });

  it('equal angles leave the difference', () => {
    // 2 A and 1 A leave 1 A: a published answer (allafragor, question 8559); 18 A and 12 A at
    // power factor 0.9 leave 6 A: derived by arithmetic.
    expect(neutralAmps(phasor(2), phasor(1))).toBe(1);
    const angle = -Math.acos(0.9);
    expect(neutralAmps(polar(18, angle), polar(12, angle))).toBeCloseTo(6, 9);
  });
});

const panel = (loads: [Phasor, Phasor], neutralOhms: Phasor | 'open') =>
  existing(
    splitPhaseVoltages({
      sourceVolts: [phasor(120), phasor(120)],
      sourceOhms: [phasor(0), phasor(0)],
      neutralOhms,
      loadOhms: loads,
      acrossOhms: null,
    }),
  );

describe('open and loose neutral', () => {
  it('check 13: lamps of 100 W and 200 W get 160 V and 80 V', () => {
    // Loads of a published classroom problem (two 120 V lamps, neutral broken); result derived.
    const { legVolts, legAmps } = panel([phasor(144), phasor(72)], 'open');
    expect(legVolts[0]).toBeCloseTo(160, 2);
    expect(legVolts[1]).toBeCloseTo(80, 2);
    expect(legAmps[0]).toBeCloseTo(1.1111, 4);
  });

  it('derived by arithmetic: 333.33 and 500 ohm share 240 V as 96 V and 144 V', () => {
    const { legVolts, legAmps } = panel([phasor(1000 / 3), phasor(500)], 'open');
    expect(legVolts[0]).toBeCloseTo(96, 6);
    expect(legVolts[1]).toBeCloseTo(144, 6);
    expect(legAmps[1]).toBeCloseTo(0.288, 6);
  });

  it('check 14: heaters get 40 V and 200 V; a heater and a motor 122.22 V and 127.31 V', () => {
    // Derived by arithmetic; a circuit simulator agrees (open-neutral.cir).
    const heaters = panel([phasor(9.6), phasor(48)], 'open');
    expect(heaters.legVolts[0]).toBeCloseTo(40, 2);
    expect(heaters.legVolts[1]).toBeCloseTo(200, 2);
    const motor = panel([phasor(9.6), phasor(8.5, 5.268)], 'open');
    expect(Math.abs(motor.legVolts[0] - 122.22)).toBeLessThan(0.05);
    expect(Math.abs(motor.legVolts[1] - 127.31)).toBeLessThan(0.05);
    expect(motor.lineVolts).toBeCloseTo(240, 6);
  });

  // Derived by arithmetic; a circuit simulator agrees (loose-neutral.cir for 0.5 ohm).
  it.each([
    [0.01, 119.751, 120.249],
    [0.05, 118.768, 121.232],
    [0.5, 109.091, 130.909],
    [5, 69.15, 170.85],
  ])('check 15: a neutral of %s ohm gives %s V and %s V', (ohms, leg1, leg2) => {
    const { legVolts } = panel([phasor(4), phasor(24)], phasor(ohms));
    expect(Math.abs(legVolts[0] - leg1)).toBeLessThan(0.01);
    expect(Math.abs(legVolts[1] - leg2)).toBeLessThan(0.01);
  });

  it('check 15: 0.5 ohm carry 21.818 A; open, the legs have 34.29 V and 205.71 V', () => {
    expect(panel([phasor(4), phasor(24)], phasor(0.5)).neutralAmps).toBeCloseTo(21.818, 2);
    const open = panel([phasor(4), phasor(24)], 'open');
    expect(open.legVolts[0]).toBeCloseTo(34.29, 2);
    expect(open.legVolts[1]).toBeCloseTo(205.71, 2);
  });

  it('a polarity lamp of 25 kilohm between neutral and earth passes 4.8 mA', () => {
    // Worked figure of a marine installer's published article.
    expect(magnitude(existing(ampsThrough(phasor(120), phasor(25_000))))).toBeCloseTo(0.0048, 9);
  });
});

describe('against the complex numbers of mathjs', () => {
  const part = amount(-1000, 1000);
  const anyPhasor = fc.record({ re: part, im: part });
  const theirs = ({ re, im }: Phasor): Complex => complex(re, im);
  const size = (value: Complex): number => value.toPolar().r;
  const complexOf = (value: unknown): Complex => {
    if (!isComplex(value)) throw new Error('mathjs gave no complex number');
    return value;
  };

  it('sums loads as complex powers', () => {
    fc.assert(
      fc.property(fc.array(fc.record({ watts: part, vars: part })), (powers: AcPower[]) => {
        const sum = powers.reduce(
          (total, power) => add(total, complex(power.watts, power.vars)),
          complex(0, 0),
        );
        expect(voltAmpsOf(existing(sumOfPowers(powers)))).toBeCloseTo(size(sum), 6);
      }),
    );
  });

  it('multiplies volts with the conjugate of amps', () => {
    fc.assert(
      fc.property(anyPhasor, anyPhasor, (volts, amps) => {
        const product = complexOf(multiply(theirs(volts), conj(theirs(amps))));
        const power = existing(powerOf(volts, amps));
        expect(power.watts).toBeCloseTo(product.re, 6);
        expect(power.vars).toBeCloseTo(product.im, 6);
      }),
    );
  });

  it('subtracts the legs, and divides volts by ohms', () => {
    fc.assert(
      fc.property(anyPhasor, anyPhasor, (one, other) => {
        expect(neutralAmps(one, other)).toBeCloseTo(size(subtract(theirs(one), theirs(other))), 6);
        fc.pre(magnitude(other) > 1e-3);
        const amps = existing(ampsThrough(one, other));
        const quotient = complexOf(divide(theirs(one), theirs(other)));
        expect(Math.abs(amps.re - quotient.re)).toBeLessThan(1e-9 * (1 + size(quotient)));
        expect(Math.abs(amps.im - quotient.im)).toBeLessThan(1e-9 * (1 + size(quotient)));
      }),
    );
  });

  it('finds the angle of 60 ohm and 160 mH at 45.152 degrees', () => {
    const ohms = existing(seriesOhms(60, 0.16, 60));
    expect((arg(theirs(ohms)) * 180) / Math.PI).toBeCloseTo(45.152, 3);
  });
});
