import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Point } from '../../../rules/index.ts';
import { createRandom } from '../../../simulator/random.ts';
import { Channel } from '../../../simulator/sensors/channel.ts';
import { EVERYDAY_SENSORS, PERFECT_SENSORS } from '../../../simulator/sensors/sensor-faults.ts';
import { loadBoat, sablePlover, willowDipper } from '../demo-boats.ts';

function pointOf(id: string): Point {
  const point = sablePlover.points.get(id) ?? willowDipper.points.get(id);
  if (point === undefined) throw new Error(`no point ${id}`);
  return point;
}

function channel(point: Point, faults = PERFECT_SENSORS, seed = 1): Channel {
  const boat = sablePlover.points.has(point.id) ? sablePlover : willowDipper;
  return new Channel(boat, point, faults, createRandom(seed, 'channel', point.id));
}

function draws(of: Channel, truth: number, count: number): number[] {
  return Array.from({ length: count }, () => Number(of.sends(truth)));
}

const mean = (values: number[]): number =>
  values.reduce((sum, one) => sum + one, 0) / values.length;
const deviation = (values: number[]): number => {
  const middle = mean(values);
  return Math.sqrt(mean(values.map((one) => (one - middle) ** 2)));
};

describe('what is sent, by the definitions of SI prefixes and NIST SP 811', () => {
  test.each([
    ['A', 'amps', 12.5, 12.5],
    ['mA', 'amps', 6, 6000],
    ['kW', 'watts', 1380, 1.38],
    ['mV', 'volts', 12.6, 12600],
    ['%', 'stateOfCharge', 0.87, 87],
    ['K', 'celsius', 25, 298.15],
    ['F', 'celsius', 100, 212],
  ] as const)('%s of %s: %f goes out as %f', (unit, quantity, truth, raw) => {
    const point: Point = { ...pointOf('bow-l1-volts'), quantity, unit };
    expect(channel(point).sends(truth)).toBeCloseTo(raw, 6);
  });

  test('scale, offset and sign are undone: reading = (raw x scale + offset) x sign', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -500, max: 500, noNaN: true }),
        fc.constantFrom(0.01, 0.1, 1, 25),
        fc.double({ min: -10, max: 10, noNaN: true }),
        fc.constantFrom(1 as const, -1 as const),
        (truth, scale, offset, sign) => {
          const point: Point = { ...pointOf('house-bank-amps'), scale, offset, sign };
          const raw = Number(channel(point).sends(truth));
          // Numbers are sent with six decimals.
          expect(Math.abs((raw * scale + offset) * sign - truth)).toBeLessThan(1e-6 * scale + 1e-9);
        },
      ),
    );
  });

  test('words are those of the boat file, and a tripped switch without a word is sent as open', () => {
    const isolator = channel(pointOf('dc-isolator-position'));
    expect(isolator.sends('closed')).toBe('ON');
    expect(isolator.sends('open')).toBe('OFF');
    expect(isolator.sends('tripped')).toBe('OFF');
    expect(isolator.sends(null)).toBeNull();
  });

  test('a unit that no one knows is a mistake of the program', () => {
    const point: Point = { ...pointOf('bow-l1-volts'), unit: 'furlong' };
    expect(() => channel(point).sends(1)).toThrow(/furlong/);
  });
});

describe('everyday errors', () => {
  const clamps = [...sablePlover.points.values()].filter(
    ({ quantity, address }) => quantity === 'amps' && address.via === 'mqtt',
  );
  /** What the point's own unit makes of amperes. */
  const inUnit = (point: Point): number => (point.unit === 'mA' ? 1000 : 1);

  test('each clamp has a gain error of its own between 1 and 3 %, either way', () => {
    const gains = clamps.map((point) => {
      const sent = mean(draws(channel(point, EVERYDAY_SENSORS), 40, 400)) / inUnit(point);
      return sent / 40 - 1;
    });
    for (const gain of gains) {
      expect(Math.abs(gain)).toBeGreaterThan(0.009);
      expect(Math.abs(gain)).toBeLessThan(0.031);
    }
    expect(gains.some((gain) => gain > 0)).toBe(true);
    expect(gains.some((gain) => gain < 0)).toBe(true);
    expect(new Set(gains.map((gain) => gain.toFixed(3))).size).toBeGreaterThan(8);
  });

  test('with nothing connected a clamp reads 0.02 to 0.1 A, never what counts as drawing', () => {
    for (const boat of [sablePlover, loadBoat('willow-dipper')]) {
      for (const point of boat.points.values()) {
        const part = boat.parts.get(point.of);
        if (point.quantity !== 'amps' || part?.part !== 'circuit') continue;
        const sent = draws(channel(point, EVERYDAY_SENSORS), 0, 3000);
        const amps = sent.map((one) => one / inUnit(point));
        expect(mean(amps)).toBeGreaterThan(0.01);
        expect(mean(amps)).toBeLessThan(0.11);
        expect(Math.max(...amps)).toBeLessThan(part.drawingAmps);
      }
    }
  });

  test('noise is white with a deviation of some hundredths of an ampere', () => {
    const noisy = { ...PERFECT_SENSORS, hasNoise: true };
    const sent = draws(channel(pointOf('house-l1-amps'), noisy), 10, 4000);
    expect(mean(sent)).toBeCloseTo(10, 1);
    expect(deviation(sent)).toBeGreaterThan(0.02);
    expect(deviation(sent)).toBeLessThan(0.1);
    const middle = mean(sent);
    const lagged = mean(
      sent.slice(1).map((one, at) => (one - middle) * ((sent[at] ?? middle) - middle)),
    );
    expect(Math.abs(lagged) / deviation(sent) ** 2).toBeLessThan(0.06);
  });

  test('volts are right within half a percent', () => {
    for (const id of ['bow-l1-volts', 'climate-l2-volts', 'galley-bus-volts']) {
      const sent = mean(draws(channel(pointOf(id), EVERYDAY_SENSORS), 120, 400));
      expect(Math.abs(sent / 120 - 1)).toBeLessThan(0.005);
    }
  });

  test('amperes and volts without a sign are never negative; a shunt knows both directions', () => {
    const clamp = draws(channel(pointOf('house-l1-amps'), EVERYDAY_SENSORS), 0, 500);
    expect(Math.min(...clamp)).toBeGreaterThanOrEqual(0);
    const shunt = channel(pointOf('house-bank-amps'), EVERYDAY_SENSORS);
    expect(mean(draws(shunt, -20, 200))).toBeCloseTo(-20, 0);
  });

  test('rounding leaves hundredths', () => {
    const rounded = { ...PERFECT_SENSORS, hasRounding: true };
    expect(channel(pointOf('house-l1-amps'), rounded).sends(12.34567)).toBe(12.35);
  });
});
