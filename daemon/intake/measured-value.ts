/**
 * One raw value, as a payload or a delta has it, to what a reading carries: the point's arithmetic
 * for numbers, the point's words for positions. Pure; never throws on any input.
 */
import type { PlannedPoint } from './point-plan.ts';
import { printable, type RefusalReason } from './refusals.ts';

export type Measured =
  | { kind: 'value'; value: number | string }
  /** JSON null: the sensor says itself that it has no valid value. */
  | { kind: 'silence' }
  | { kind: 'refused'; reason: RefusalReason; found: string };

/** A number as sensors print it: sign, digits, one point, an exponent. No hexadecimal. */
const NUMBER = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$/;
const DECIMAL_COMMA = /^[+-]?\d+,\d+$/;
const NOT_FINITE = /^[+-]?(?:nan|inf|infinity)$/i;

/**
 * `raw` is any value that `JSON.parse` can give, or the text of a plain payload. A number inside a
 * string counts as a number, because many sensors quote theirs.
 */
export function measure(planned: PlannedPoint, raw: unknown): Measured {
  if (raw === null) return { kind: 'silence' };
  return planned.words ? fromWord(planned.words, raw) : fromNumeric(planned, raw);
}

/** What the point reads when its sensor says `raw`, or why that is refused. */
export function fromNumber({ point, toBase }: PlannedPoint, raw: number): number | RefusalReason {
  const inUnit = raw * point.scale + point.offset;
  // Adding 0 makes -0 a plain zero, which it is for every quantity here.
  const value = toBase(inUnit) * point.sign + 0;
  if (!Number.isFinite(value)) return 'not finite';
  return value < point.min || value > point.max ? 'impossible value' : value;
}

function fromWord(words: ReadonlyMap<string, string>, raw: unknown): Measured {
  const word = isScalar(raw) ? words.get(String(raw)) : undefined;
  return word === undefined ? refused('unknown word', raw) : { kind: 'value', value: word };
}

function fromNumeric(planned: PlannedPoint, raw: unknown): Measured {
  const reason = typeof raw === 'string' ? whyNoNumber(raw.trim()) : undefined;
  if (reason !== undefined) return refused(reason, raw);
  if (typeof raw !== 'string' && typeof raw !== 'number') return refused('not a number', raw);
  const value = fromNumber(planned, Number(raw));
  return typeof value === 'number' ? { kind: 'value', value } : refused(value, raw);
}

function whyNoNumber(text: string): RefusalReason | undefined {
  if (NUMBER.test(text)) return undefined;
  if (DECIMAL_COMMA.test(text)) return 'decimal comma';
  return NOT_FINITE.test(text) ? 'not finite' : 'not a number';
}

function refused(reason: RefusalReason, raw: unknown): Measured {
  const shape = Array.isArray(raw) ? 'a list' : 'an object';
  return { kind: 'refused', reason, found: isScalar(raw) ? printable(String(raw)) : shape };
}

function isScalar(raw: unknown): raw is string | number | boolean {
  return typeof raw === 'string' || typeof raw === 'number' || typeof raw === 'boolean';
}
