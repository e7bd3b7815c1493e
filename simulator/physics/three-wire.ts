/**
 * One source, two hot wires and a neutral: the circuit of a 120/240 V boat, solved exactly for
 * linear loads. A single-phase boat is the same with nothing on the second wire.
 *
 *   source L1 ---[impedance]--- A --+-------+
 *                                   | to N  |
 *   source N  ---[ohms]-------- N --+       | across
 *                                   | to N  |
 *   source L2 ---[impedance]--- B --+-------+
 */
import { ZERO, add, complex, divide, magnitude, multiply, scale, subtract } from './complex.ts';
import type { Complex } from './complex.ts';

/** First or second hot wire, in the order of the boat's legs. */
export type LegIndex = 0 | 1;
export type PerLeg<T> = [T, T];
export const LEG_INDICES: readonly LegIndex[] = [0, 1];

export interface SourceSide {
  /** Volts behind the impedance, against the source's own neutral. */
  emf: PerLeg<Complex>;
  /** Siemens of each hot wire; zero where the pole is open. */
  siemens: PerLeg<Complex>;
  /** Ohms of the neutral between boat and source; `Infinity` when it has come off. */
  neutralOhms: number;
}

export interface LoadSide {
  /** Siemens from each leg to neutral. */
  toNeutral: PerLeg<Complex>;
  /** Siemens from the first leg to the second. */
  across: Complex;
  /** Amperes drawn from each leg beside what those siemens draw; their sum returns by the neutral. */
  extra: PerLeg<Complex>;
}

export interface ThreeWireVolts {
  /** Leg against the boat's neutral. */
  legs: PerLeg<Complex>;
  /** The boat's neutral against the source's neutral. */
  neutral: Complex;
}

/** A voltmeter's own megohm on each leg: it also keeps a wire with nothing on it from floating. */
const METER_SIEMENS = complex(1e-6);

/** Solves the circuit drawn above. Never fails: every wire hangs at least on its meter. */
export function solveThreeWire(source: SourceSide, load: LoadSide): ThreeWireVolts {
  const [ya, yb] = source.siemens;
  const yn = complex(1 / source.neutralOhms + 1e-9);
  const na = add(load.toNeutral[0], METER_SIEMENS);
  const nb = add(load.toNeutral[1], METER_SIEMENS);
  const ab = load.across;
  const minus = (a: Complex): Complex => scale(a, -1);
  const rows = [
    [add(add(ya, na), ab), minus(ab), minus(na)],
    [minus(ab), add(add(yb, nb), ab), minus(nb)],
    [minus(na), minus(nb), add(add(yn, na), nb)],
  ];
  const right = [
    subtract(multiply(ya, source.emf[0]), load.extra[0]),
    subtract(multiply(yb, source.emf[1]), load.extra[1]),
    add(load.extra[0], load.extra[1]),
  ];
  const [a = ZERO, b = ZERO, n = ZERO] = solveLinear(rows, right);
  return { legs: [subtract(a, n), subtract(b, n)], neutral: n };
}

/** Gaussian elimination with row exchange; both arguments are used up. */
function solveLinear(rows: Complex[][], right: Complex[]): Complex[] {
  const at = (row: number, column: number): Complex => rows[row]?.[column] ?? ZERO;
  const size = right.length;
  for (let pivot = 0; pivot < size; pivot += 1) {
    exchangeForLargest(rows, right, pivot);
    for (let row = pivot + 1; row < size; row += 1) {
      const factor = divide(at(row, pivot), at(pivot, pivot));
      rows[row] = (rows[row] ?? []).map((value, column) =>
        subtract(value, multiply(factor, at(pivot, column))),
      );
      right[row] = subtract(right[row] ?? ZERO, multiply(factor, right[pivot] ?? ZERO));
    }
  }
  const solution: Complex[] = [];
  for (let row = size - 1; row >= 0; row -= 1) {
    let rest = right[row] ?? ZERO;
    for (let column = row + 1; column < size; column += 1) {
      rest = subtract(rest, multiply(at(row, column), solution[column] ?? ZERO));
    }
    solution[row] = divide(rest, at(row, row));
  }
  return solution;
}

function exchangeForLargest(rows: Complex[][], right: Complex[], pivot: number): void {
  const size = (row: number): number => magnitude(rows[row]?.[pivot] ?? ZERO);
  let best = pivot;
  for (let row = pivot + 1; row < right.length; row += 1) if (size(row) > size(best)) best = row;
  [rows[pivot], rows[best]] = [rows[best] ?? [], rows[pivot] ?? []];
  [right[pivot], right[best]] = [right[best] ?? ZERO, right[pivot] ?? ZERO];
}
