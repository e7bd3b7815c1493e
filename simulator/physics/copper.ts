/**
 * Resistance of copper conductors: geometry of the American wire gauge (ASTM B258), annealed copper
 * of 0.017241 ohm mm2/m at 20 degrees C with 0.00393 per degree (IEC 60028; NBS Handbook 100), and
 * 2 % more length in a stranded wire than in the cable.
 */

/** The part of the boat file's conductor that decides its resistance. */
export interface Wire {
  awg?: string;
  squareMillimetres?: number;
  lengthMetres?: number;
}

const OHM_SQUARE_MILLIMETRES_PER_METRE = 0.017241;
const PER_CELSIUS = 0.00393;
const STRANDING = 1.02;

/** Cross-section of a gauge as the trade writes it: `14`, `6`, `1/0`, `4/0`. */
export function gaugeSquareMillimetres(awg: string): number {
  const ought = /^([1-4])\/0$/.exec(awg);
  const number = ought === null ? Number(awg) : 1 - Number(ought[1]);
  if (!Number.isInteger(number)) throw new Error(`no wire gauge: ${awg}`);
  const millimetres = 0.127 * 92 ** ((36 - number) / 39);
  return (Math.PI / 4) * millimetres ** 2;
}

/** Ohms of one stranded conductor, one way. */
export function conductorOhms(wire: Wire, celsius: number): number {
  const square =
    wire.squareMillimetres ?? (wire.awg === undefined ? NaN : gaugeSquareMillimetres(wire.awg));
  const cold = (OHM_SQUARE_MILLIMETRES_PER_METRE * STRANDING * (wire.lengthMetres ?? 0)) / square;
  return cold * (1 + PER_CELSIUS * (celsius - 20));
}
