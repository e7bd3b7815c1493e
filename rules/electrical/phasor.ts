/**
 * Complex numbers for steady alternating current: RMS magnitudes, angles in radians. A positive
 * imaginary part of an impedance is inductive. Values that are not finite pass through; the
 * functions that use phasors check them.
 */
export interface Phasor {
  readonly re: number;
  readonly im: number;
}

export const phasor = (re: number, im = 0): Phasor => ({ re, im });
export const polar = (size: number, radians: number): Phasor =>
  phasor(size * Math.cos(radians), size * Math.sin(radians));

export const magnitude = (a: Phasor): number => Math.hypot(a.re, a.im);
export const plus = (a: Phasor, b: Phasor): Phasor => phasor(a.re + b.re, a.im + b.im);
export const minus = (a: Phasor, b: Phasor): Phasor => phasor(a.re - b.re, a.im - b.im);
export const times = (a: Phasor, b: Phasor): Phasor =>
  phasor(a.re * b.re - a.im * b.im, a.re * b.im + a.im * b.re);
export const conjugate = (a: Phasor): Phasor => phasor(a.re, -a.im);

/** Not finite when `b` is zero. */
export function dividedBy(a: Phasor, b: Phasor): Phasor {
  const square = b.re ** 2 + b.im ** 2;
  const top = times(a, conjugate(b));
  return phasor(top.re / square, top.im / square);
}

export const isFinitePhasor = (a: Phasor): boolean =>
  Number.isFinite(a.re) && Number.isFinite(a.im);
