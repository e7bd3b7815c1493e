/** Complex numbers for phasors: RMS volts and amperes, ohms and siemens. */

export interface Complex {
  readonly re: number;
  readonly im: number;
}

export const ZERO: Complex = { re: 0, im: 0 };

export const complex = (re: number, im = 0): Complex => ({ re, im });

export const add = (a: Complex, b: Complex): Complex => ({ re: a.re + b.re, im: a.im + b.im });

export const subtract = (a: Complex, b: Complex): Complex => ({
  re: a.re - b.re,
  im: a.im - b.im,
});

export const multiply = (a: Complex, b: Complex): Complex => ({
  re: a.re * b.re - a.im * b.im,
  im: a.re * b.im + a.im * b.re,
});

export const divide = (a: Complex, b: Complex): Complex => {
  const square = b.re * b.re + b.im * b.im;
  return { re: (a.re * b.re + a.im * b.im) / square, im: (a.im * b.re - a.re * b.im) / square };
};

export const scale = (a: Complex, by: number): Complex => ({ re: a.re * by, im: a.im * by });

export const magnitude = (a: Complex): number => Math.sqrt(a.re * a.re + a.im * a.im);

/** Watts that a current carries at a voltage, both RMS phasors. */
export const wattsOf = (volts: Complex, amps: Complex): number =>
  volts.re * amps.re + volts.im * amps.im;

/** Reactive volt-amperes, positive where the current lags. */
export const varsOf = (volts: Complex, amps: Complex): number =>
  volts.im * amps.re - volts.re * amps.im;
