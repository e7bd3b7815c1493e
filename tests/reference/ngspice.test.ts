/** Against an independent circuit simulator: what the formulas say must come out of the circuit too. */
import { describe, expect, it } from 'vitest';
import {
  awgSquareMillimetres,
  copperOhmsPerMetre,
  dropVolts,
  neutralAmps,
  neutralOhmsEstimate,
  phasor,
  polar,
  secondsToTrip,
  sourceResistance,
  splitPhaseVoltages,
  stateOfChargeAfter,
  warmthAfter,
  type Phasor,
} from '../../rules/electrical/index.ts';
import { simulateFile } from './ngspice.ts';
import { compareWithSimulator, randomCircuits } from './random-panels.ts';

const LEG = phasor(120);

const panel = (load1: Phasor, load2: Phasor, neutralOhms: Phasor | 'open') =>
  splitPhaseVoltages({
    sourceVolts: [LEG, LEG],
    sourceOhms: [phasor(0), phasor(0)],
    neutralOhms,
    loadOhms: [load1, load2],
    acrossOhms: null,
  });

describe('neutral of a split-phase panel, simulated', () => {
  it('carries the phasor difference of the legs', () => {
    const simulated = simulateFile('neutral-phasor.cir').value('mag(i(vneutral))');
    expect(simulated).toBeCloseTo(12.0416, 3);
    expect(neutralAmps(phasor(20), polar(15, -Math.acos(0.8)))).toBeCloseTo(simulated, 4);
  });

  it('lets the legs drift apart when it is open', () => {
    const simulated = simulateFile('open-neutral.cir');
    const heaters = panel(phasor(9.6), phasor(48), 'open');
    expect(heaters?.legVolts[0]).toBeCloseTo(simulated.value('vm(a1,abar)'), 3);
    expect(heaters?.legVolts[1]).toBeCloseTo(simulated.value('vm(abar,a2)'), 3);
    const motor = panel(phasor(9.6), phasor(8.5, 2 * Math.PI * 60 * 13.97327e-3), 'open');
    expect(motor?.legVolts[0]).toBeCloseTo(simulated.value('vm(b1,bbar)'), 3);
    expect(motor?.legVolts[1]).toBeCloseTo(simulated.value('vm(bbar,b2)'), 3);
    expect(motor?.lineVolts).toBeCloseTo(simulated.value('vm(b1,b2)'), 3);
  });

  it('shifts by its own drop when it is loose, and the estimate finds its resistance', () => {
    const simulated = simulateFile('loose-neutral.cir');
    const legVolts = [simulated.value('vm(leg1,bar)'), simulated.value('vm(bar,leg2)')] as const;
    const solved = panel(phasor(4), phasor(24), phasor(0.5));
    expect(solved?.legVolts[0]).toBeCloseTo(legVolts[0], 4);
    expect(solved?.legVolts[1]).toBeCloseTo(legVolts[1], 4);
    expect(solved?.neutralAmps).toBeCloseTo(simulated.value('mag(i(vneutral))'), 4);
    expect(solved?.neutralShiftVolts).toBeCloseTo(simulated.value('vm(bar)'), 4);
    expect(neutralOhmsEstimate(legVolts, [legVolts[0] / 4, legVolts[1] / 24])).toBeCloseTo(0.5, 5);
  });

  it('agrees on a hundred random panels, solved in one run', () => {
    const seed = Math.floor(Math.random() * 2 ** 31);
    const circuits = randomCircuits(seed, 100);
    expect(circuits).toHaveLength(100);
    compareWithSimulator(circuits, (k, what, ours, simulated) => {
      const least = Math.max(Math.abs(simulated), 0.01);
      const error = Math.abs(ours - simulated) / least;
      expect(error, `seed ${seed}, panel ${k}, ${what}: ${ours} or ${simulated}`).toBeLessThan(
        1e-3,
      );
    });
  });
});

describe('direct current, simulated', () => {
  it('loses what the wire formula says, and two readings give the resistance back', () => {
    const simulated = simulateFile('direct-current-drop.cir');
    const post = simulated.value('v(post)');
    const pump = simulated.value('v(pump)');
    // ABYC E-11's constant 10.75 is copper at 29.3 degrees (derived by arithmetic).
    const ohmsPerMetre = copperOhmsPerMetre(awgSquareMillimetres('16') ?? NaN, 29.3, 'solid');
    const wireOhms = (ohmsPerMetre ?? NaN) * 21 * 0.3048;
    expect(Math.abs((dropVolts(10, wireOhms) ?? NaN) / (post - pump) - 1)).toBeLessThan(1e-3);
    const source = sourceResistance({ volts: 12.6, amps: 0 }, { volts: post, amps: 10 });
    expect(source?.ohms).toBeCloseTo(0.005, 6);
  });
});

describe('memory in time, simulated', () => {
  it('warms and cools a breaker like a capacitor behind a resistor', () => {
    const simulated = simulateFile('thermal-memory.cir');
    const replica = { pickupAmps: 33.75, tauSeconds: 600 };
    const after3600 = warmthAfter(0, 24, 3600, replica) ?? NaN;
    const after3900 = warmthAfter(after3600, 40, 300, replica) ?? NaN;
    const after4200 = warmthAfter(after3900, 10, 300, replica) ?? NaN;
    expect(after3600).toBeCloseTo(simulated.value('after3600'), 4);
    expect(after3900).toBeCloseTo(simulated.value('after3900'), 4);
    expect(after4200).toBeCloseTo(simulated.value('after4200'), 4);
    const left = secondsToTrip(after4200, 40, replica);
    expect(Math.abs(4200 + Number(left) - simulated.value('trips'))).toBeLessThan(1);
  });

  it('counts a bank down and up like a very large capacitor', () => {
    const simulated = simulateFile('coulomb-count.cir');
    const afterOut = stateOfChargeAfter(1, -20, 6 * 3600, 400, 0.9) ?? NaN;
    expect(Math.abs(afterOut - simulated.value('afterout'))).toBeLessThan(1e-3);
    const afterIn = stateOfChargeAfter(afterOut, 30, 2 * 3600, 400, 0.9) ?? NaN;
    expect(Math.abs(afterIn - simulated.value('afterin'))).toBeLessThan(1e-3);
  });
});
