/** A fault of the boat is never refused as impossible; a fault of a unit is. */
import { describe, expect, it } from 'vitest';
import { boatOf, demoText } from './boat-texts.ts';

function rangeOf(boat: ReturnType<typeof boatOf>, id: string): (value: number) => boolean {
  const point = boat.points.get(id);
  if (point === undefined) throw new Error(`no point ${id}`);
  return (value) => value >= point.min && value <= point.max;
}

describe('default ranges', () => {
  const plover = boatOf(demoText('sable-plover'));
  const dipper = boatOf(demoText('willow-dipper'));

  it('let in what an open neutral does to the legs', () => {
    const isPossible = rangeOf(plover, 'house-l1-volts');
    // 9.6 and 48 ohms behind an open neutral at 240 V: 40 and 200 V (simulated with ngspice); with
    // nothing at all on one leg the other stands at the full 240 V.
    expect([0, 40, 200, 240].map(isPossible)).toEqual([true, true, true, true]);
    // The zero of a transducer may be off: a dead leg is not impossible.
    expect(isPossible(-0.8)).toBe(true);
    // Millivolts taken for volts.
    expect(isPossible(120_000)).toBe(false);
  });

  it('let in the inrush that a breaker holds', () => {
    const isPossible = rangeOf(plover, 'saloon-air-amps');
    // A motor starts with three to six times its running current (common practice).
    expect(isPossible(6 * 11.5)).toBe(true);
    // IEC 60898-1 type D: below 20 times its rating the breaker may hold for 0.1 s.
    expect(isPossible(19.9 * 20)).toBe(true);
    expect(isPossible(11_500)).toBe(false);
  });

  it('let in both signs of a clamp, charge, discharge and the starting of an engine', () => {
    const isPossible = rangeOf(plover, 'house-bank-amps');
    expect([-900, 150].map(isPossible)).toEqual([true, true]);
    expect(rangeOf(plover, 'bow-l1-amps')(-30)).toBe(true);
  });

  it('follow the nominal values of the boat', () => {
    expect(rangeOf(dipper, 'shore-volts')(400)).toBe(true);
    expect(rangeOf(dipper, 'service-bank-volts')(29.2)).toBe(true);
    // 16-cell LiFePO4 is a 48 V bank; its 58.4 V do not belong on 24 V with margin, but no alarm
    // may be lost to it.
    expect(rangeOf(dipper, 'service-bank-volts')(58.4)).toBe(true);
    expect(rangeOf(dipper, 'service-bank-volts')(29_200)).toBe(false);
    expect(rangeOf(dipper, 'shore-hertz')(62)).toBe(true);
    expect(rangeOf(dipper, 'service-bank-charge')(85)).toBe(false);
  });
});
