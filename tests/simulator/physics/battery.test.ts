import { describe, expect, test } from 'vitest';
import { BatteryBank } from '../../../simulator/physics/battery.ts';
import { Charging } from '../../../simulator/physics/charging.ts';

const agm = { chemistry: 'agm', volts: 12, ampHours: 400 } as const;

function bankAt(stateOfCharge: number, part: ConstructorParameters<typeof BatteryBank>[0] = agm) {
  return new BatteryBank(part, { stateOfCharge, ohms: 0.004 });
}

// Battery Council International's table of rest voltage, as given at studylib.net/18054160.
test.each([
  [1, 12.65],
  [0.75, 12.45],
  [0.5, 12.24],
  [0.25, 12.06],
  [0, 11.89],
])('12 V lead-acid rests at %f charge within 20 mV of %f V', (charge, volts) => {
  expect(Math.abs(bankAt(charge).restVolts - volts)).toBeLessThan(0.02);
});

test('24 V is twice 12 V', () => {
  const double = bankAt(0.5, { ...agm, volts: 24 });
  expect(double.restVolts).toBeCloseTo(2 * bankAt(0.5).restVolts, 9);
});

// Charts of LiFePO4 cells give 2.5 to 3.65 V; four in series rest near 13.2 V at half charge
// (gridwright.com, voltagebasics.com; charts differ by 0.1 V).
test('a 12.8 V lithium bank has a plateau: less than 0.3 V between 30 and 90 %', () => {
  const part = { ...agm, chemistry: 'lifepo4' } as const;
  expect(bankAt(0.5, part).restVolts).toBeCloseTo(13.2, 1);
  expect(bankAt(0.9, part).restVolts - bankAt(0.3, part).restVolts).toBeLessThan(0.3);
});

// Simulated with ngspice: 400 Ah full, 20 A out for 6 h leaves 0.700.
test('coulombs are counted: 20 A for 6 h out of 400 Ah leaves 70 %', () => {
  const bank = bankAt(1);
  for (let second = 0; second < 6 * 3600; second += 1) bank.advance(12.5, -20, 1);
  expect(bank.stateOfCharge).toBeCloseTo(0.7, 4);
});

test('not every ampere-hour put in can be taken out again', () => {
  const bank = bankAt(0.5);
  bank.advance(14, 40, 3600);
  expect(bank.stateOfCharge).toBeGreaterThan(0.5 + 0.9 * 0.1);
  expect(bank.stateOfCharge).toBeLessThan(0.5 + 0.1);
});

test('under load the volts fall by current times resistance', () => {
  const bank = bankAt(0.8);
  expect(bank.ampsAt(bank.restVolts - 0.04)).toBeCloseTo(-10, 6);
});

describe('charging', () => {
  test('the current tapers at absorption volts: below 3 % of capacity by 98 %', () => {
    expect(bankAt(0.7).ampsAt(14.4)).toBeGreaterThan(60);
    expect(bankAt(0.98).ampsAt(14.4)).toBeLessThan(0.1 * agm.ampHours);
    // Full when the current has fallen to 3 % of the rated ampere-hours (usual rule of makers).
    expect(bankAt(0.995).ampsAt(14.4)).toBeLessThan(0.03 * agm.ampHours);
  });

  test('bulk, absorption, float; and anew after a power cut or a low bank', () => {
    const charging = new Charging({
      absorptionVolts: 14.4,
      floatVolts: 13.5,
      tailAmps: 8,
      absorptionHours: 4,
      restartVolts: 12.7,
    });
    const pass = (volts: number, amps: number, seconds: number, isPowered = true): string => {
      for (let at = 0; at < seconds; at += 1) charging.advance({ volts, amps }, isPowered, 1);
      return charging.stage;
    };
    expect(pass(12.5, 0, 1)).toBe('bulk');
    expect(pass(13.8, 60, 3600)).toBe('bulk');
    expect(pass(14.4, 50, 2)).toBe('absorption');
    expect(charging.voltsWanted).toBe(14.4);
    expect(pass(14.4, 30, 600)).toBe('absorption');
    expect(pass(14.4, 5, 130)).toBe('float');
    expect(charging.voltsWanted).toBe(13.5);
    expect(pass(12.6, -20, 50)).toBe('float');
    expect(pass(12.6, -20, 20)).toBe('bulk');
    expect(pass(12.6, -20, 1, false)).toBe('off');
    expect(charging.voltsWanted).toBe(0);
  });

  test('absorption ends by the clock where the tail never comes', () => {
    const charging = new Charging({
      absorptionVolts: 14.4,
      floatVolts: 13.5,
      tailAmps: 1,
      absorptionHours: 1,
      restartVolts: 12.7,
    });
    for (let at = 0; at < 3700; at += 1) charging.advance({ volts: 14.4, amps: 20 }, true, 1);
    expect(charging.stage).toBe('float');
  });
});
