/** How much of the comparison is played; all of it may be set from outside. */

/** A whole number from the environment, or what the project's figures are measured with. */
function size(name: string, usual: number): number {
  const text = process.env[name];
  if (text === undefined || text === '') return usual;
  const value = Number(text);
  if (!Number.isInteger(value) || value < 0 || value > 10_000) {
    throw new Error(`${name} must be a whole number from 0 to 10000, got "${text}"`);
  }
  return value;
}

export const SIZES = {
  seeds: size('SEEDS', 20),
  /** Of the cases that last for days. */
  longSeeds: size('LONG_SEEDS', 3),
  days: size('DAYS', 365),
  losses: size('LOSSES', 200),
  changeHours: size('CHANGE_HOURS', 48),
};

/** Only cases whose names match, e.g. `CASES=T0[1-4]`; all without it. */
export const CASES_WANTED = new RegExp(process.env['CASES'] ?? '');

export const seedsFrom = (first: number, count: number): number[] =>
  Array.from({ length: count }, (_, at) => first + at);

/** `total` cut into parts of at most `most`. */
export function partsOf(total: number, most: number): number[] {
  const parts: number[] = [];
  for (let left = total; left > 0; left -= most) parts.push(Math.min(left, most));
  return parts;
}
