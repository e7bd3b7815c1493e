/**
 * Rows of a tier in few bytes, column by column. Where least, greatest and newest are decimals, as
 * sensors print them, all is whole numbers above the least one; nothing of those is rounded. The
 * area is kept as what it differs from mean times covered time, to a millionth of the largest area
 * of the blob.
 */
import { ByteSink, ByteSource, DamagedBytes } from './bytes.ts';
import { type Effort, INTEGER_MAX, packIntegers, unpackIntegers } from './integers.ts';
import { packNumbers, unpackNumbers } from './numbers.ts';
import { Accumulator } from './rollup.ts';

const VERSION = 1;
const PLACES_MAX = 6;
/** The sixth digit of the largest area is the last that is kept. */
const AREA_DIGITS = 6;
/** Wholes beyond this times a count would leave exact arithmetic. */
const WHOLE_MAX = 2 ** 36;

/** Empty where nothing is known. */
export function packRollups(rows: Accumulator, effort: Effort): Uint8Array {
  const known: number[] = [];
  for (let at = 0; at < rows.length; at++) if (rows.isKnown(at)) known.push(at);
  const pick = (column: Float64Array): Float64Array =>
    Float64Array.from(known, (at) => column[at] ?? 0);
  const sink = new ByteSink();
  sink.byte(VERSION);
  sink.unsigned(known.length);
  if (known.length === 0) return sink.taken();
  packIntegers(sink, Float64Array.from(known), effort);
  const count = pick(rows.count);
  packIntegers(sink, count, effort);
  const coveredMs = pick(rows.coveredMs);
  packNumbers(sink, coveredMs, effort);
  const [min, max, last] = [pick(rows.min), pick(rows.max), pick(rows.last)];
  // A row without readings has neither least nor greatest; any number will do that packs well.
  for (let at = 0; at < count.length; at++) {
    if (count[at] === 0)
      min[at] = max[at] = last[at] = min[at - 1] ?? min.find(Number.isFinite) ?? 0;
  }
  const sum = pick(rows.sum);
  const places = placesOf([min, max, last]);
  sink.byte(places ?? 255);
  const kept = { min, max, last, sum, count };
  if (places === null) packDoubles(sink, kept, effort);
  else packWholes(sink, kept, 10 ** places, effort);
  packAreas(sink, pick(rows.integral), { count, sum, coveredMs }, effort);
  return sink.taken();
}

/** `length` rows of `widthMs` from `fromMs` on. */
export function unpackRollups(
  body: Uint8Array,
  fromMs: number,
  widthMs: number,
  length: number,
): Accumulator {
  const source = new ByteSource(body);
  if (source.byte() !== VERSION) throw new DamagedBytes('no such version');
  const rows = new Accumulator(fromMs, widthMs, length);
  const known = source.unsigned();
  if (known === 0) return rows;
  const places = unpackIntegers(source, known);
  const count = unpackIntegers(source, known);
  const coveredMs = unpackNumbers(source, known);
  const decimals = source.byte();
  const kept =
    decimals === 255 ? unpackDoubles(source, known) : unpackWholes(source, count, 10 ** decimals);
  const integral = unpackAreas(source, { count, sum: kept.sum, coveredMs });
  for (let row = 0; row < known; row++) {
    const at = places[row] ?? 0;
    if (!(at >= 0 && at < length)) throw new DamagedBytes('a row is outside of its span');
    rows.count[at] = count[row] ?? 0;
    rows.coveredMs[at] = coveredMs[row] ?? 0;
    rows.integral[at] = integral[row] ?? 0;
    if (count[row] === 0) continue;
    rows.min[at] = kept.min[row] ?? 0;
    rows.max[at] = kept.max[row] ?? 0;
    rows.last[at] = kept.last[row] ?? 0;
    rows.sum[at] = kept.sum[row] ?? 0;
  }
  return rows;
}

interface Kept {
  min: Float64Array;
  max: Float64Array;
  last: Float64Array;
  sum: Float64Array;
}

/** Decimal places that give every number exactly, or null. */
function placesOf(columns: readonly Float64Array[]): number | null {
  let places = 0;
  for (const column of columns) {
    for (const value of column) {
      while (!isWholeAt(value, 10 ** places)) if (++places > PLACES_MAX) return null;
    }
  }
  const tens = 10 ** places;
  return columns.every((column) => column.every((value) => isWholeAt(value, tens))) ? places : null;
}

function isWholeAt(value: number, tens: number): boolean {
  // Adding 0 makes -0 a plain zero, which is then not the double that came.
  const whole = Math.round(value * tens) + 0;
  return Math.abs(whole) < WHOLE_MAX && Object.is(whole / tens, value);
}

function packWholes(
  sink: ByteSink,
  kept: Kept & { count: Float64Array },
  tens: number,
  effort: Effort,
) {
  const { count } = kept;
  const min = kept.min.map((value) => Math.round(value * tens));
  const above = (column: Float64Array): Float64Array =>
    column.map((value, at) => Math.round(value * tens) - (min[at] ?? 0));
  packIntegers(sink, min, effort);
  packIntegers(sink, above(kept.max), effort);
  packIntegers(sink, above(kept.last), effort);
  // The sum of decimals is a decimal; what addition of doubles put behind it goes.
  const sum = kept.sum.map(
    (each, at) => Math.round(each * tens) - (min[at] ?? 0) * (count[at] ?? 0),
  );
  packIntegers(sink, sum, effort);
}

function unpackWholes(source: ByteSource, count: Float64Array, tens: number): Kept {
  const min = unpackIntegers(source, count.length);
  const above = (): Float64Array =>
    unpackIntegers(source, count.length).map((whole, at) => (whole + (min[at] ?? 0)) / tens);
  const max = above();
  const last = above();
  const sum = unpackIntegers(source, count.length).map(
    (whole, at) => (whole + (min[at] ?? 0) * (count[at] ?? 0)) / tens,
  );
  return { min: min.map((whole) => whole / tens), max, last, sum };
}

function packDoubles(sink: ByteSink, { min, max, last, sum }: Kept, effort: Effort): void {
  for (const column of [min, max, last, sum]) packNumbers(sink, column, effort);
}

function unpackDoubles(source: ByteSource, count: number): Kept {
  const next = (): Float64Array => unpackNumbers(source, count);
  return { min: next(), max: next(), last: next(), sum: next() };
}

interface Expected {
  count: Float64Array;
  sum: Float64Array;
  coveredMs: Float64Array;
}

/** Mean times covered time: what the area would be if readings came at equal steps. */
function expectedArea({ count, sum, coveredMs }: Expected, at: number): number {
  const readings = count[at] ?? 0;
  return readings === 0 ? 0 : ((sum[at] ?? 0) / readings) * ((coveredMs[at] ?? 0) / 1000);
}

function packAreas(sink: ByteSink, integral: Float64Array, expected: Expected, effort: Effort) {
  const largest = integral.reduce(
    (most, area) => Math.max(most, Math.min(Math.abs(area), 1e300)),
    0,
  );
  const digits = largest === 0 ? 0 : Math.floor(Math.log10(largest)) + 1 - AREA_DIGITS;
  sink.signed(digits);
  const unit = 10 ** digits;
  packIntegers(
    sink,
    integral.map((area, at) => wholeWithin((area - expectedArea(expected, at)) / unit)),
    effort,
  );
}

/** Readings near the end of what a double holds have areas beyond it; those are given up. */
function wholeWithin(value: number): number {
  if (Number.isNaN(value)) return 0;
  return Math.round(Math.min(INTEGER_MAX, Math.max(-INTEGER_MAX, value)));
}

function unpackAreas(source: ByteSource, expected: Expected): Float64Array {
  const unit = 10 ** source.signed();
  return unpackIntegers(source, expected.count.length).map(
    (whole, at) => whole * unit + expectedArea(expected, at),
  );
}
