/**
 * A breaker above what its conductor may carry, against 33 CFR 183.425 Table 5 (allowable amperes,
 * boats with petrol engines; good practice elsewhere). The regulation itself allows some breakers
 * above the table (33 CFR 183.455): the warning is no verdict.
 */
import { describe, expect, it } from 'vitest';
import { boatOf, linesOf } from './boat-texts.ts';

function boatWith(breakerAmps: number, conductor: string, volts = 120): string {
  const isDc = volts < 50;
  return `
boat: { name: Heron }
system:
  ac: { kind: single phase, volts: 120, hertz: 60 }
  dc: { volts: 12 }
sources: { shore: { kind: shore inlet, amps: 2000 } }
batteries: { bank: { chemistry: agm, volts: 12, ampHours: 400 } }
buses: { panel: { from: ${isDc ? 'bank' : 'shore'} }, other: { from: ${isDc ? 'shore' : 'bank'} } }
circuits:
  heater: { bus: panel, breaker: { amps: ${breakerAmps} }, load: resistive, conductor: { ${conductor} } }
  lamp: { bus: other, breaker: { amps: 1 }, load: electronics }
points: { volts: { of: panel, quantity: volts, mqtt: { topic: t } } }
`;
}

const warning = (breaker: number, ampacity: number): string =>
  `b:10:42: warning: the breaker (${breaker} A) is above what its conductor may carry (${ampacity} A by 33 CFR 183.425 Table 5)`;

/** Size, insulation and allowable amperes, copied from Table 5. */
const TABLE_5 = [
  ['18', 60, 10],
  ['16', 105, 25],
  ['14', 60, 20],
  ['14', 105, 35],
  ['12', 90, 40],
  ['10', 105, 60],
  ['8', 75, 65],
  ['6', 75, 95],
  ['4', 125, 170],
  ['1', 80, 210],
  ['1/0', 105, 285],
  ['4/0', 60, 300],
  ['4/0', 200, 510],
] as const;

describe('a breaker above the ampacity of its conductor', () => {
  it.each(TABLE_5)('AWG %s at %i degrees may carry %i A and no more', (awg, celsius, amps) => {
    const conductor = `awg: ${awg}, insulationCelsius: ${celsius}`;
    expect(linesOf(boatWith(amps, conductor))).toEqual([]);
    expect(linesOf(boatWith(amps + 1, conductor))).toEqual([warning(amps + 1, amps)]);
  });

  // Derived table for 105 degree wire as printed in the trade: 10 AWG carries 51 A in an engine
  // space, 35.7 A there with three bundled conductors, from 50 V on.
  it('counts the engine space and, from 50 V on, the bundle', () => {
    const wire = 'awg: 10, insulationCelsius: 105, isInEngineSpace: true';
    expect(linesOf(boatWith(51, wire))).toEqual([]);
    expect(linesOf(boatWith(52, wire))).toEqual([warning(52, 51)]);
    expect(linesOf(boatWith(36, `${wire}, bundled: 3`))).toEqual([warning(36, 35.7)]);
    expect(linesOf(boatWith(51, `${wire}, bundled: 3`, 12))).toEqual([]);
  });

  it('warns of a cord below the rating of its inlet: 14 AWG at 60 degrees carries 20 A', () => {
    const text = boatWith(10, 'awg: 14, insulationCelsius: 60').replace(
      'amps: 2000',
      'amps: 30, cord: { awg: 14, insulationCelsius: 60 }',
    );
    expect(linesOf(text)).toEqual([
      'b:6:46: warning: the rating (30 A) is above what the cord may carry (20 A by 33 CFR 183.425 Table 5)',
    ]);
  });

  it('does not stand in the way of the boat', () => {
    const boat = boatOf(boatWith(61, 'awg: 10, insulationCelsius: 105'));
    expect(boat.circuits[0]?.breaker.ampsRated).toBe(61);
  });

  it('says nothing of wires that the table does not have', () => {
    expect(linesOf(boatWith(2000, 'squareMillimetres: 300, insulationCelsius: 90'))).toEqual([]);
  });
});
