/**
 * How surely two rows of changes move together. Pearson's product-moment correlation, its
 * uncertainty by Fisher's z transformation (R. A. Fisher, Statistical Methods for Research Workers,
 * 1925, section 35; also NIST/SEMATECH e-Handbook of Statistical Methods): artanh r is all but
 * normal with a standard error of 1 / sqrt(n - 3). Both cited from memory.
 *
 * Two guards against being sure for nothing: changes are held to three times their usual size (a
 * winsorized correlation), so that one coincidence of two large steps proves nothing; and n is made
 * smaller where each row resembles itself a moment before (M. S. Bartlett, J. R. Stat. Soc. 98,
 * 1935; from memory): n / (1 + 2 a b) with the rows' own lag-one correlations a and b.
 */

/** Changes beyond so many times the median magnitude are cut down to it. */
const MOST_TIMES_USUAL = 3;
/** An r of exactly one would be infinitely sure. */
const LARGEST_R = 0.9999;

export interface Correlation {
  /** -1 to 1. */
  r: number;
  /** artanh r: differences of it mean the same everywhere between -1 and 1. */
  z: number;
  /** Standard error of z; Infinity where there are too few changes. */
  standardError: number;
  /** Size of the first row's changes over that of the second's: 1 where they are alike. */
  sizeRatio: number;
}

/** Nothing is known. */
export const NO_CORRELATION: Correlation = { r: 0, z: 0, standardError: Infinity, sizeRatio: 0 };

/** Middle value; the mean of the two in the middle of an even number. 0 of nothing. */
export function median(values: readonly number[]): number {
  const sorted = values.toSorted((a, b) => a - b);
  const half = sorted.length >> 1;
  const upper = sorted[half] ?? 0;
  return sorted.length % 2 === 1 ? upper : ((sorted[half - 1] ?? upper) + upper) / 2;
}

/** Held to a few times their usual magnitude, or to `least` where they usually stand still. */
function held(values: readonly number[], least: number): number[] {
  const most = Math.max(least, MOST_TIMES_USUAL * median(values.map(Math.abs)));
  return values.map((value) => Math.min(most, Math.max(-most, value)));
}

const sumOfProducts = (a: readonly number[], b: readonly number[], shift = 0): number => {
  let sum = 0;
  for (let i = shift; i < a.length; i++) sum += (a[i] ?? 0) * (b[i - shift] ?? 0);
  return sum;
};

const meanless = (values: readonly number[]): number[] => {
  const mean = values.reduce((sum, value) => sum + value, 0) / Math.max(1, values.length);
  return values.map((value) => value - mean);
};

/**
 * Correlation of two rows of changes of equal length. `count`: how many of them are independent of
 * each other, where some were measured at the same instants; default all. `noise`: no change is cut
 * down below this. Nothing is known (r 0, error infinite) of fewer than four or of a row that
 * stands still.
 */
export function correlate(
  first: readonly number[],
  second: readonly number[],
  { count = first.length, noise = 0 }: { count?: number; noise?: number } = {},
): Correlation {
  const [a, b] = [meanless(held(first, noise)), meanless(held(second, noise))];
  const [squareA, squareB] = [sumOfProducts(a, a), sumOfProducts(b, b)];
  if (count < 4 || squareA === 0 || squareB === 0) return NO_CORRELATION;
  const r = sumOfProducts(a, b) / Math.sqrt(squareA * squareB);
  const alike = (sumOfProducts(a, a, 1) / squareA) * (sumOfProducts(b, b, 1) / squareB);
  const effective = count / (1 + 2 * Math.max(0, alike));
  return {
    r,
    z: Math.atanh(Math.min(LARGEST_R, Math.max(-LARGEST_R, r))),
    standardError: effective > 3 ? 1 / Math.sqrt(effective - 3) : Infinity,
    sizeRatio: Math.sqrt(squareA / squareB),
  };
}

export interface Slope {
  /** Change of the second row for one of the first. */
  slope: number;
  /** Its standard error by least squares; Infinity where nothing is known. */
  error: number;
}

/**
 * How much of the first row's changes the second shows, by least squares through the middle (NIST/
 * SEMATECH e-Handbook, linear least squares; from memory). Noise of the second makes this less
 * certain and not smaller, as it makes a correlation. `count` as in `correlate`.
 */
export function slopeOf(
  first: readonly number[],
  second: readonly number[],
  count: number = first.length,
): Slope {
  const [a, b] = [meanless(first), meanless(second)];
  const square = sumOfProducts(a, a);
  if (count < 4 || square === 0) return { slope: 0, error: Infinity };
  const slope = sumOfProducts(a, b) / square;
  const left = b.map((own, i) => own - slope * (a[i] ?? 0));
  const spread = sumOfProducts(left, left) / (count - 2);
  return { slope, error: Math.sqrt(spread / square) };
}
