/**
 * Size and resistance of a copper conductor from its gauge. Nominal geometry (ASTM B258) and
 * annealed copper at 100 % IACS (NBS Handbook 100 / IEC 60028). Marine cable made to SAE sizes has
 * 6 to 12 % less copper than the same AWG (common practice): real drops are that much higher.
 */
import { isPositive } from './numbers.ts';

/** 0.017241 ohm mm2/m at 20 degrees Celsius: the International Annealed Copper Standard. */
export const COPPER_OHM_SQUARE_MILLIMETRES_PER_METRE = 0.017241;

/** Change of copper's resistance per degree, at 20 degrees (NBS Handbook 100, from memory). */
export const COPPER_PER_CELSIUS = 0.00393;

/** Strands run in a spiral and are 2 % longer than the cable (NEC chapter 9 table 8 agrees). */
const STRANDING_FACTOR = 1.02;

const MILLIMETRES_PER_INCH = 25.4;

/**
 * The number of a gauge in the series: `10` is 10, `1/0` is 0, `4/0` is -3. Null for anything that
 * is no gauge from 40 to 4/0.
 */
export function awgNumber(awg: string): number | null {
  const aught = /^([1-4])\/0$/.exec(awg)?.[1];
  if (aught !== undefined) return 1 - Number(aught);
  if (!/^[1-9]\d?$/.test(awg)) return null;
  const gauge = Number(awg);
  return gauge <= 40 ? gauge : null;
}

/** Diameter in millimetres of a solid wire of this gauge; null for no gauge. ASTM B258. */
export function awgDiameterMillimetres(awg: string): number | null {
  const gauge = awgNumber(awg);
  if (gauge === null) return null;
  return 0.005 * 92 ** ((36 - gauge) / 39) * MILLIMETRES_PER_INCH;
}

/** Cross-section of copper in square millimetres; null for no gauge. ASTM B258. */
export function awgSquareMillimetres(awg: string): number | null {
  const diameter = awgDiameterMillimetres(awg);
  return diameter === null ? null : (Math.PI / 4) * diameter ** 2;
}

/** Cross-section in circular mils, the square of the diameter in thousandths of an inch. */
export function awgCircularMils(awg: string): number | null {
  const diameter = awgDiameterMillimetres(awg);
  return diameter === null ? null : ((diameter / MILLIMETRES_PER_INCH) * 1000) ** 2;
}

/**
 * Resistance of one metre of copper conductor, ohms per metre, at `celsius` (-50..250) degrees.
 * `stranding`: `stranded` adds 2 %. Null on a cross-section that is not above zero, or a
 * temperature outside the range in which the straight line holds.
 */
export function copperOhmsPerMetre(
  squareMillimetres: number,
  celsius: number,
  stranding: 'solid' | 'stranded' = 'stranded',
): number | null {
  if (!isPositive(squareMillimetres)) return null;
  if (!(celsius >= -50 && celsius <= 250)) return null;
  const cold = COPPER_OHM_SQUARE_MILLIMETRES_PER_METRE / squareMillimetres;
  const warm = cold * (1 + COPPER_PER_CELSIUS * (celsius - 20));
  return stranding === 'stranded' ? warm * STRANDING_FACTOR : warm;
}
