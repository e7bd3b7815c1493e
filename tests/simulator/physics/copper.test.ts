import { expect, test } from 'vitest';
import { conductorOhms, gaugeSquareMillimetres } from '../../../simulator/physics/copper.ts';

const METRES_PER_FOOT = 0.3048;

// NEC Chapter 9 Table 8, stranded uncoated copper at 75 degrees C, ohms per 1000 ft (as annotated
// at voltdropcalc.com/nec-chapter-9-table-8).
test.each([
  ['8', 0.778],
  ['6', 0.491],
  ['4', 0.308],
  ['2', 0.194],
  ['1/0', 0.122],
  ['4/0', 0.0608],
])('%s AWG at 75 degrees is within 0.5 %% of NEC Chapter 9 Table 8', (awg, ohmsPerThousandFeet) => {
  const ohms = conductorOhms({ awg, lengthMetres: 1000 * METRES_PER_FOOT }, 75);
  expect(Math.abs(ohms / ohmsPerThousandFeet - 1)).toBeLessThan(0.005);
});

test('a loop of 50 ft of 6 AWG cord is about 40 milliohm when cool (NEC Table 8: 49 at 75)', () => {
  const loop = (celsius: number): number =>
    2 * conductorOhms({ awg: '6', lengthMetres: 50 * METRES_PER_FOOT }, celsius);
  expect(loop(25)).toBeGreaterThan(0.038);
  expect(loop(25)).toBeLessThan(0.043);
  expect(loop(75)).toBeCloseTo(0.0491, 3);
});

// ASTM B258: 10 AWG is 5.261 mm2, 4/0 AWG is 107.2 mm2, 36 AWG is 0.127 mm across.
test.each([
  ['10', 5.261],
  ['4/0', 107.2],
  ['36', (Math.PI / 4) * 0.127 ** 2],
])('%s AWG is %f mm2 (ASTM B258)', (awg, square) => {
  expect(gaugeSquareMillimetres(awg) / square).toBeCloseTo(1, 3);
});

test('twice the length is twice the ohms, twice the copper half of them', () => {
  const ohms = conductorOhms({ squareMillimetres: 2.5, lengthMetres: 10 }, 20);
  expect(conductorOhms({ squareMillimetres: 2.5, lengthMetres: 20 }, 20)).toBeCloseTo(2 * ohms, 9);
  expect(conductorOhms({ squareMillimetres: 5, lengthMetres: 10 }, 20)).toBeCloseTo(ohms / 2, 9);
});

test('what is no gauge is refused', () => {
  expect(() => gaugeSquareMillimetres('five')).toThrow(/gauge/);
});
