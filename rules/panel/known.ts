/** Arithmetic on numbers that may be unknown: unknown in, unknown out, and ages never get younger. */
import type { Evidence, Known } from './panel-state.ts';
import { UNKNOWN } from './latest.ts';

const weakest = (parts: readonly Known[]): Evidence =>
  parts.every((part) => part.evidence === 'measured') ? 'measured' : 'inferred';

/**
 * `combine` applied to the values, or unknown if any is. The result is `evidence`, or `measured`
 * only if every part is and nothing else is said.
 */
export function derive(
  parts: readonly Known[],
  combine: (...values: number[]) => number | null,
  evidence?: Evidence,
): Known {
  const values: number[] = [];
  let ageMs: number | null = null;
  for (const part of parts) {
    if (part.value === null) return UNKNOWN;
    values.push(part.value);
    if (part.ageMs !== null) ageMs = Math.max(ageMs ?? 0, part.ageMs);
  }
  const value = combine(...values);
  if (value === null || !Number.isFinite(value)) return UNKNOWN;
  return { value, evidence: evidence ?? weakest(parts), ageMs };
}

/** The sum; unknown when any part is, and for no parts at all. */
export function sum(parts: readonly Known[], evidence?: Evidence): Known {
  if (parts.length === 0) return UNKNOWN;
  return derive(parts, (...values) => values.reduce((a, b) => a + b, 0), evidence);
}

/** `value / rated`, unknown without a rating. */
export function ratio(value: Known, rated: number | null): Known {
  return rated === null ? UNKNOWN : derive([value], (v) => v / rated);
}

/** `rated - value`, unknown without a rating. */
export function headroom(value: Known, rated: number | null): Known {
  return rated === null ? UNKNOWN : derive([value], (v) => rated - v);
}

/** The first that is known, else the first. */
export function firstKnown(first: Known, ...others: Known[]): Known {
  return [first, ...others].find((known) => known.value !== null) ?? first;
}

/** The same `byMs` later, if nothing it rests on has changed since. */
export function later(known: Known, byMs: number): Known {
  const { value, evidence, lastValue } = known;
  if (known.ageMs === null) return known;
  const ageMs = known.ageMs + byMs;
  return lastValue === undefined
    ? { value, evidence, ageMs }
    : { value, evidence, ageMs, lastValue };
}
