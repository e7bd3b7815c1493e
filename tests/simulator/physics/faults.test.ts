/** What wears, sticks, leaks and bursts, and what a dock may do to the boat. */
import { describe, expect, test } from 'vitest';
import type { LoadCommand } from '../../../simulator/physics/loads/load.ts';
import { changeLoads } from '../../../simulator/scenarios/scenario.ts';
import { Bench, legCalled, part, sablePlover } from '../demo-boats.ts';

const bench = (hour = 3): Bench => new Bench(sablePlover, hour);
const suffers = (on: Bench, circuit: string, command: LoadCommand): Bench =>
  on.do({ do: 'load', circuit, command });
const inletVolts = (on: Bench, leg: string): number =>
  legCalled(part(on.truth.sources, 'bow-inlet').legs, leg).volts;

describe('pumps', () => {
  test('a bilge pump whose float sticks empties the bilge, then runs on dry with fewer amperes', () => {
    const boat = suffers(bench().pass(5), 'bilge-pump', { float: 'stuck up' }).pass(5);
    const wet = part(boat.truth.circuits, 'bilge-pump').amps;
    const dry = part(boat.pass(120).truth.circuits, 'bilge-pump').amps;
    expect(wet).toBeGreaterThan(5);
    expect(dry / wet).toBeCloseTo(0.63, 1);
    const freed = suffers(boat, 'bilge-pump', { float: 'free' }).pass(5);
    expect(part(freed.truth.circuits, 'bilge-pump').amps).toBe(0);
  });

  test('a leak of 24 litres an hour makes a stroke of six litres each quarter of an hour', () => {
    const boat = suffers(bench(), 'bilge-pump', { leaks: 24 });
    let [starts, wasOn] = [0, false];
    boat.pass(4 * 3600, () => {
      const isOn = part(boat.truth.circuits, 'bilge-pump').amps > 1;
      if (isOn && !wasOn) starts += 1;
      wasOn = isOn;
    });
    expect(starts).toBeGreaterThanOrEqual(15);
    expect(starts).toBeLessThanOrEqual(16);
  });

  test('back-flow doubles every stroke', () => {
    const boat = new Bench(sablePlover, 3, (ship) => ({
      ...ship,
      loads: changeLoads(ship.loads, (load) =>
        load.kind === 'bilge pump'
          ? { ...load, litres: 7.99, litresOn: 8, litresOff: 4, backflowLitres: 4.2 }
          : load,
      ),
    }));
    let [starts, wasOn] = [0, false];
    boat.pass(600, () => {
      const isOn = part(boat.truth.circuits, 'bilge-pump').amps > 1;
      if (isOn && !wasOn) starts += 1;
      wasOn = isOn;
    });
    expect(starts).toBe(2);
  });

  test('with its hose off a fresh water pump never stops', () => {
    const boat = suffers(bench(), 'fresh-water-pump', { hose: 'off' }).pass(30);
    boat.pass(300, () => {
      expect(part(boat.truth.circuits, 'fresh-water-pump').amps).toBeGreaterThan(3);
    });
  });

  test('a clogged strainer: pump watts -25 %, amps some -6 %, at 44 % of the flow', () => {
    const boat = bench(15);
    for (let minute = 0; part(boat.truth.circuits, 'raw-water-pump').amps < 2; minute += 1) {
      if (minute > 60) throw new Error('the pump never ran');
      boat.pass(60);
    }
    const clean = part(boat.truth.circuits, 'raw-water-pump');
    suffers(boat, 'raw-water-pump', { flowRatio: 0.44 }).pass(2);
    const clogged = part(boat.truth.circuits, 'raw-water-pump');
    expect(clogged.watts / clean.watts).toBeCloseTo(0.75, 1);
    expect(clogged.amps / clean.amps).toBeCloseTo(0.94, 1);
  });
});

describe('charger', () => {
  test('stuck at 15.8 V it drives the bank there; failed it gives nothing', () => {
    const boat = suffers(bench().pass(600), 'battery-charger', { holdsVolts: 15.8 }).pass(1800);
    expect(part(boat.truth.batteries, 'house-bank').volts).toBeGreaterThan(15.5);
    suffers(boat, 'battery-charger', { output: 'failed' }).pass(60);
    expect(part(boat.truth.batteries, 'house-bank').amps).toBeLessThan(0);
  });
});

describe('dock', () => {
  test('a worn pin on L1 takes volts from L1 only: 0.5 ohm under some 12 A is some 6 V', () => {
    const sound = bench().do({ do: 'load', circuit: 'water-heater', command: { drawLitres: 60 } });
    sound.pass(120);
    const [first, second] = [inletVolts(sound, 'L1'), inletVolts(sound, 'L2')];
    sound.do({ do: 'wear pin', inlet: 'bow-inlet', leg: 'L1', ohms: 0.5 }).pass(2);
    const amps = legCalled(part(sound.truth.sources, 'bow-inlet').legs, 'L1').amps;
    expect(amps).toBeGreaterThan(8);
    expect(first - inletVolts(sound, 'L1')).toBeCloseTo(0.5 * amps, 0);
    expect(Math.abs(second - inletVolts(sound, 'L2'))).toBeLessThan(1);
  });

  // 120 V legs of a 208Y/120 V service stand 120 degrees apart: 120 x sqrt(3) = 207.8 V across.
  test('a load across the legs gets 208/240 of its volts at a 208 V dock', () => {
    const boat = bench().do({
      do: 'load',
      circuit: 'cooker',
      command: { use: 'plates', seconds: 600 },
    });
    const across = (): number => part(boat.truth.circuits, 'cooker').volts;
    const before = boat.pass(5) && across();
    boat.do({ do: 'change dock', inlet: 'bow-inlet', dock: { degreesApart: 120 } }).pass(2);
    expect(across() / before).toBeCloseTo(Math.sqrt(3) / 2, 2);
    boat.do({ do: 'change dock', inlet: 'bow-inlet', dock: { degreesApart: 0 } }).pass(2);
    expect(across()).toBeLessThan(3);
  });

  test('other volts and a longer cord', () => {
    const boat = bench().pass(5);
    const before = inletVolts(boat, 'L2');
    boat.do({ do: 'change dock', inlet: 'bow-inlet', dock: { openCircuitVolts: 76 } }).pass(2);
    expect(before - inletVolts(boat, 'L2')).toBeGreaterThan(40);
  });
});
