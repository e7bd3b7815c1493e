import { describe, expect, test } from 'vitest';
import { magnitude } from '../../../simulator/physics/complex.ts';
import { createLoad } from '../../../simulator/physics/loads/index.ts';
import type { LoadParameters } from '../../../simulator/physics/loads/index.ts';
import type { Load, Surroundings } from '../../../simulator/physics/loads/load.ts';
import { Motor } from '../../../simulator/physics/loads/motor.ts';
import { createRandom } from '../../../simulator/random.ts';
import { sablePlover, shipFor, willowDipper } from '../demo-boats.ts';

const AROUND: Surroundings = {
  volts: 120,
  hour: 14,
  celsius: 31,
  sun: 0.8,
  hasCoolingWater: true,
  coolingFlowRatio: 1,
  isCoolingWanted: false,
};

function parametersOf(circuit: string): LoadParameters {
  const parameters = shipFor(sablePlover).loads[circuit];
  if (parameters === undefined) throw new Error(`no ${circuit}`);
  return parameters;
}

function load(parameters: LoadParameters, volts = 120): Load {
  return createLoad(parameters, volts, createRandom(1, 'test'));
}

const amps = (of: Load, volts: number): number => magnitude(of.admittance(volts)) * volts;
const watts = (of: Load, volts: number): number => of.admittance(volts).re * volts * volts;

/** Lets time pass in whole seconds, in tenths while it starts; calls `each` after every step. */
function pass(of: Load, seconds: number, around: Surroundings, each?: (atSeconds: number) => void) {
  for (let at = 0; at < seconds - 1e-6;) {
    const step = of.isStarting ? 0.1 : 1;
    of.advance(step, around);
    at += step;
    each?.(at);
  }
}

describe('water heater', () => {
  const heater = (): Load => {
    const parameters = parametersOf('water-heater');
    if (parameters.kind !== 'water heater') throw new Error('not a heater');
    return load({ ...parameters, celsius: 30 });
  };

  test('1500 W at 120 V takes 12.5 A, and 1215 W at 108 V: power goes with volts squared', () => {
    expect(amps(heater(), 120)).toBeCloseTo(12.5, 6);
    expect(watts(heater(), 108)).toBeCloseTo(1215, 6);
  });

  // 75 l x 4186 J/kgK x 30 K / 1500 W = 6280 s; the wall loses a little.
  test('75 litres from 30 to 60 degrees take 1500 W about an hour and three quarters', () => {
    const tank = heater();
    let seconds = 0;
    while (watts(tank, 120) > 0) {
      tank.advance(1, AROUND);
      seconds += 1;
    }
    expect(seconds / 6280).toBeGreaterThan(1);
    expect(seconds / 6280).toBeLessThan(1.1);
  });

  test('drawing hot water brings the element on again', () => {
    const tank = load(parametersOf('water-heater'));
    pass(tank, 7200, AROUND);
    tank.take({ drawLitres: 30 });
    pass(tank, 2, AROUND);
    expect(watts(tank, 120)).toBeCloseTo(1500, 6);
  });
});

describe('motor', () => {
  const make = (): Motor =>
    new Motor({
      volts: 120,
      ampsRunning: 10,
      powerFactor: 0.9,
      ampsStarting: 50,
      secondsStarting: 0.3,
    });
  const ampsOf = (motor: Motor, volts: number): number =>
    magnitude(motor.admittance(volts)) * volts;

  test('draws its starting current for a few tenths of a second, then its running current', () => {
    const motor = make();
    motor.advance(1, 120, true);
    expect(ampsOf(motor, 120)).toBeCloseTo(50, 6);
    motor.advance(0.2, 120, true);
    expect(motor.isStarting).toBe(true);
    motor.advance(0.2, 120, true);
    expect(motor.isRunning).toBe(true);
    expect(ampsOf(motor, 120)).toBeCloseTo(10, 6);
  });

  // At 90 % of volts torque is 81 % (vias.org, ee_20_16): starting takes 1 / 0.81 as long.
  test('low volts make the start longer', () => {
    const seconds = (volts: number): number => {
      const motor = make();
      motor.advance(0.01, volts, true);
      let count = 0;
      for (; motor.isStarting; count += 1) motor.advance(0.001, volts, true);
      return count / 1000;
    };
    expect(seconds(108) / seconds(120)).toBeCloseTo(1 / 0.81, 1);
  });

  test('running, it draws more amperes at fewer volts', () => {
    const motor = make();
    for (let at = 0; at < 20; at += 1) motor.advance(0.1, 120, true);
    expect(ampsOf(motor, 108)).toBeCloseTo(10 / 0.9, 6);
  });

  test('lets go when the volts collapse', () => {
    const motor = make();
    for (let at = 0; at < 20; at += 1) motor.advance(0.1, 120, true);
    motor.advance(0.1, 50, true);
    expect(motor.isTurning).toBe(false);
  });
});

describe('air conditioner', () => {
  const make = (): Load => {
    const parameters = parametersOf('guest-air');
    if (parameters.kind !== 'air conditioner') throw new Error('not an air conditioner');
    return load({ ...parameters, celsius: 29, isOn: false });
  };
  const isCompressing = (of: Load): boolean => amps(of, 120) > 4;

  test('off at its keypad it draws nothing, on it starts its fan and then its compressor', () => {
    const unit = make();
    pass(unit, 60, AROUND);
    expect(amps(unit, 120)).toBe(0);
    unit.take({ turn: 'on' });
    pass(unit, 3, AROUND);
    expect(amps(unit, 120)).toBeCloseTo(0.8, 1);
    expect(unit.wantsCooling).toBe(true);
    let most = 0;
    pass(unit, 60, AROUND, () => {
      most = Math.max(most, amps(unit, 120));
    });
    expect(most).toBeGreaterThan(35);
    expect(amps(unit, 120)).toBeGreaterThan(7);
    expect(amps(unit, 120)).toBeLessThan(9);
  });

  test('without cooling water it cuts out after 30 to 60 s of compressor, and tries again', () => {
    const unit = make();
    unit.take({ turn: 'on' });
    const runs: number[] = [];
    const rests: number[] = [];
    let since = 0;
    let was = false;
    pass(unit, 1800, { ...AROUND, hasCoolingWater: false }, (at) => {
      const is = isCompressing(unit);
      if (is === was) return;
      (was ? runs : rests).push(at - since);
      since = at;
      was = is;
    });
    expect(runs.length).toBeGreaterThan(3);
    expect(Math.min(...runs)).toBeGreaterThanOrEqual(29);
    expect(Math.max(...runs)).toBeLessThanOrEqual(62);
    // The first wait is its lead after switching on; later ones are at least the three minutes' rest.
    expect(Math.min(...rests.slice(1))).toBeGreaterThanOrEqual(180);
    expect(unit.wantsCooling).toBe(true);
  });

  test('a compressor rests three minutes after a power cut', () => {
    const unit = make();
    unit.take({ turn: 'on' });
    pass(unit, 120, AROUND);
    expect(isCompressing(unit)).toBe(true);
    pass(unit, 5, { ...AROUND, volts: 0 });
    let rested = 5;
    while (!isCompressing(unit)) {
      pass(unit, 1, AROUND);
      rested += 1;
    }
    expect(rested).toBeGreaterThanOrEqual(178);
    expect(rested).toBeLessThan(260);
  });

  test('it holds its cabin near the thermostat on a hot afternoon, cycling', () => {
    const parameters = parametersOf('saloon-air');
    if (parameters.kind !== 'air conditioner') throw new Error('not an air conditioner');
    const unit = load(parameters);
    let starts = 0;
    let running = 0;
    let was = false;
    pass(unit, 4 * 3600, AROUND, () => {
      const is = isCompressing(unit);
      if (is) running += 1;
      if (is && !was) starts += 1;
      was = is;
    });
    expect(starts).toBeGreaterThan(4);
    expect(starts).toBeLessThan(40);
    expect(running / (4 * 3600)).toBeGreaterThan(0.3);
    expect(running / (4 * 3600)).toBeLessThan(0.95);
  });
});

test('the cooling pump runs exactly while cooling water is wanted', () => {
  const pump = load(parametersOf('raw-water-pump'));
  pass(pump, 10, AROUND);
  expect(amps(pump, 120)).toBe(0);
  pass(pump, 3, { ...AROUND, isCoolingWanted: true });
  expect(pump.givesCooling).toBe(true);
  expect(amps(pump, 120)).toBeCloseTo(3.2, 6);
  pass(pump, 1, AROUND);
  expect(pump.givesCooling).toBe(false);
});

// Published duty of household refrigerators is about a third (US DOE table at e-education.psu.edu).
test('a refrigerator runs about a third of the time, in cycles of tens of minutes', () => {
  const box = load(parametersOf('refrigerator'));
  let running = 0;
  let starts = 0;
  pass(box, 12 * 3600, AROUND, () => {
    if (box.isStarting) starts += 1;
    else if (amps(box, 120) > 1) running += 1;
  });
  expect(running / (12 * 3600)).toBeGreaterThan(0.2);
  expect(running / (12 * 3600)).toBeLessThan(0.45);
  expect(starts).toBeGreaterThan(10);
});

test('a kettle boils for as long as it was said, beside what is always plugged in', () => {
  const outlets = load(parametersOf('galley-outlets'));
  const idle = watts(outlets, 120);
  outlets.take({ use: 'kettle', seconds: 240 });
  outlets.take({ use: 'toaster', seconds: 120 });
  expect(watts(outlets, 120)).toBeCloseTo(idle + 1250 + 850, 6);
  pass(outlets, 121, AROUND);
  expect(watts(outlets, 120)).toBeCloseTo(idle + 1250, 0);
  pass(outlets, 120, AROUND);
  expect(watts(outlets, 120)).toBeCloseTo(idle, 0);
  expect(() => outlets.take({ use: 'forge', seconds: 1 })).toThrow(/forge/);
});

test('a cooker pulses at full power: at most 3360 W, on less than all of the time', () => {
  const cooker = load(parametersOf('cooker'), 240);
  cooker.take({ use: 'plates', seconds: 1800 });
  let on = 0;
  pass(cooker, 1800, { ...AROUND, volts: 240 }, () => {
    const now = watts(cooker, 240);
    expect([0, 3360].some((level) => Math.abs(now - level) < 1e-6)).toBe(true);
    if (now > 0) on += 1;
  });
  expect(on / 1800).toBeGreaterThan(0.3);
  expect(on / 1800).toBeLessThan(0.8);
  expect(watts(cooker, 240)).toBe(0);
});

test('a wash stands still without power and goes on afterwards', () => {
  const parameters = shipFor(willowDipper).loads['washing-machine'];
  if (parameters?.kind !== 'laundry') throw new Error('no washing machine');
  const machine = load(parameters, 230);
  machine.take({ turn: 'on' });
  const on = { ...AROUND, volts: 230 };
  pass(machine, 5 * 60, on);
  expect(watts(machine, 230)).toBeGreaterThan(1800);
  pass(machine, 3600, { ...AROUND, volts: 0 });
  expect(watts(machine, 230)).toBeGreaterThan(1800);
  pass(machine, 60 * 60, on);
  expect(watts(machine, 230)).toBe(0);
});

describe('pumps', () => {
  test('the bilge pump empties what has leaked in, some seconds every few hours', () => {
    const pump = load(parametersOf('bilge-pump'), 12);
    let running = 0;
    let starts = 0;
    pass(pump, 24 * 3600, { ...AROUND, volts: 12.6 }, () => {
      if (pump.isStarting) starts += 1;
      else if (amps(pump, 12.6) > 1) running += 1;
    });
    // 1.2 l/h for a day are 28.8 l; at 20 l/min that takes 86 s.
    expect(running).toBeGreaterThan(60);
    expect(running).toBeLessThan(110);
    expect(starts).toBeGreaterThan(3);
  });

  test('the fresh water pump runs for what is drawn and stops when the pressure is up', () => {
    const pump = load(parametersOf('fresh-water-pump'), 12);
    pump.take({ drawLitres: 24 });
    let running = 0;
    pass(pump, 900, { ...AROUND, volts: 12.6 }, () => {
      if (amps(pump, 12.6) > 1 && !pump.isStarting) running += 1;
    });
    // 24 l at 12 l/min are two minutes.
    expect(running).toBeGreaterThan(100);
    expect(running).toBeLessThan(150);
    expect(amps(pump, 12.6)).toBe(0);
  });
});

test.each([
  ['raw-water-pump', { turn: 'on' as const }],
  ['water-heater', { use: 'kettle', seconds: 1 }],
  ['refrigerator', { watts: 5 }],
])('%s refuses what nobody can do with it', (circuit, command) => {
  expect(() => load(parametersOf(circuit)).take(command)).toThrow(/cannot do/);
});
