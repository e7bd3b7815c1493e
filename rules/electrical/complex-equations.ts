/** Three linear equations in phasors, as much as a split-phase panel needs; internal to the folder. */
import { minus, plus, times, type Phasor } from './phasor.ts';

export type Vector3 = readonly [Phasor, Phasor, Phasor];
export type Matrix3 = readonly [Vector3, Vector3, Vector3];

export function determinant([[a, b, c], [d, e, f], [g, h, i]]: Matrix3): Phasor {
  const first = times(a, minus(times(e, i), times(f, h)));
  const second = times(b, minus(times(d, i), times(f, g)));
  const third = times(c, minus(times(d, h), times(e, g)));
  return plus(minus(first, second), third);
}

/** The matrix with one column taken from `vector`, for Cramer's rule. */
export function replaceColumn(matrix: Matrix3, column: 0 | 1 | 2, vector: Vector3): Matrix3 {
  const row = (at: 0 | 1 | 2): Vector3 => [
    column === 0 ? vector[at] : matrix[at][0],
    column === 1 ? vector[at] : matrix[at][1],
    column === 2 ? vector[at] : matrix[at][2],
  ];
  return [row(0), row(1), row(2)];
}
