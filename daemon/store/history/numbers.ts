/**
 * A column of doubles in few bytes, each given back with every bit it had. Three ways, the shortest
 * wins:
 *
 * - decimal: nearly all are whole numbers over one power of ten, as sensors print them; the whole
 *   numbers are packed, the few others stand beside them. Nothing is rounded: a double belongs here
 *   only if dividing the whole number gives exactly that double.
 * - few: not many different doubles (kelvins less 273.15, a raw count times a scale); each stands
 *   once, and the column is places in that list.
 * - bits: true noise in all digits. Each double is combined by XOR with the one before, so that
 *   equal leading bits become zeros; the eight bytes are parted into eight columns and deflated.
 *   Gorilla's bit stream (VLDB 2015) does the same XOR; on full-precision noise it saves little
 *   either, and parting the bytes needs no arithmetic on 64 bits.
 */
import { ByteSink, type ByteSource, DamagedBytes } from './bytes.ts';
import {
  deflatedBest,
  type Effort,
  inflated,
  INTEGER_MAX,
  packIntegers,
  unpackIntegers,
} from './integers.ts';

const DECIMAL = 0;
const FEW = 1;
const BITS = 2;
const PLACES_MAX = 9;
const TENS = Array.from({ length: PLACES_MAX + 1 }, (_, places) => 10 ** places);

export function packNumbers(sink: ByteSink, column: ArrayLike<number>, effort: Effort): void {
  const decimal = packDecimal(column, effort);
  // Exact decimals leave nothing to gain.
  if (decimal !== null && decimal.others === 0) {
    sink.bytes(decimal.bytes);
    return;
  }
  const ways = [decimal?.bytes ?? null, packFew(column, effort), packBits(column, effort)];
  const best = ways.reduce((a, b) => (a === null || (b !== null && b.length < a.length) ? b : a));
  if (best !== null) sink.bytes(best);
}

export function unpackNumbers(source: ByteSource, count: number): Float64Array {
  const way = source.byte();
  if (way === DECIMAL) return unpackDecimal(source, count);
  if (way === FEW) return unpackFew(source, count);
  if (way === BITS) return unpackBits(source, count);
  throw new DamagedBytes('no such way to pack numbers');
}

function isDecimal(value: number, tens: number): boolean {
  // Adding 0 makes -0 a plain zero, which is then not the double that came.
  const whole = Math.round(value * tens) + 0;
  return Math.abs(whole) <= INTEGER_MAX && Object.is(whole / tens, value);
}

/** Null when more than one in eight is no decimal. `others`: how many are not. */
function packDecimal(
  column: ArrayLike<number>,
  effort: Effort,
): { bytes: Uint8Array; others: number } | null {
  const others: number[] = [];
  let places = 0;
  for (let at = 0; at < column.length; at++) {
    const value = column[at] ?? 0;
    let needed = places;
    while (needed <= PLACES_MAX && !isDecimal(value, TENS[needed] ?? 1)) needed += 1;
    if (needed <= PLACES_MAX) places = needed;
    else others.push(at);
    if (others.length * 8 > column.length) return null;
  }
  return packScaled(column, places, others, effort);
}

function packScaled(column: ArrayLike<number>, places: number, others: number[], effort: Effort) {
  const tens = TENS[places] ?? 1;
  const wholes = new Float64Array(column.length);
  const aside = new Set(others);
  for (let at = 0; at < column.length; at++) {
    const value = column[at] ?? 0;
    // More places can make a number too large that was not too large with fewer.
    const isOther = aside.has(at) || !isDecimal(value, tens);
    if (isOther) aside.add(at);
    wholes[at] = isOther ? (wholes[at - 1] ?? 0) : Math.round(value * tens);
  }
  const sink = new ByteSink();
  sink.byte(DECIMAL);
  sink.byte(places);
  sink.unsigned(aside.size);
  for (const at of [...aside].sort((a, b) => a - b)) {
    sink.unsigned(at);
    sink.double(column[at] ?? 0);
  }
  packIntegers(sink, wholes, effort);
  return { bytes: sink.taken(), others: aside.size };
}

function unpackDecimal(source: ByteSource, count: number): Float64Array {
  const tens = TENS[source.byte()];
  if (tens === undefined) throw new DamagedBytes('too many decimal places');
  const others: [number, number][] = [];
  for (let left = source.unsigned(); left > 0; left--) {
    others.push([source.unsigned(), source.double()]);
  }
  const column = unpackIntegers(source, count);
  if (tens !== 1) for (let at = 0; at < count; at++) column[at] = (column[at] ?? 0) / tens;
  for (const [at, value] of others) column[at] = value;
  return column;
}

/** Null when more than one in four is different from all before. */
function packFew(column: ArrayLike<number>, effort: Effort): Uint8Array | null {
  const places = new Map<number, number>();
  // A Map takes 0 and -0 for the same; -0 gets a key that no double has.
  const minusZero: { place: number | null } = { place: null };
  const list: number[] = [];
  const columnOfPlaces = new Float64Array(column.length);
  for (let at = 0; at < column.length; at++) {
    const value = column[at] ?? 0;
    const isMinusZero = Object.is(value, -0);
    let place = isMinusZero ? minusZero.place : (places.get(value) ?? null);
    if (place === null) {
      place = list.length;
      list.push(value);
      if (isMinusZero) minusZero.place = place;
      else places.set(value, place);
      if (list.length * 4 > column.length + 4) return null;
    }
    columnOfPlaces[at] = place;
  }
  const sink = new ByteSink();
  sink.byte(FEW);
  // Neighbours in value become neighbours in place, so that noise stays small.
  const order = list.map((value, place) => ({ value, place })).sort((a, b) => a.value - b.value);
  const rank = new Float64Array(list.length);
  order.forEach(({ place }, at) => (rank[place] = at));
  sink.unsigned(list.length);
  for (const { value } of order) sink.double(value);
  packIntegers(
    sink,
    columnOfPlaces.map((place) => rank[place] ?? 0),
    effort,
  );
  return sink.taken();
}

function unpackFew(source: ByteSource, count: number): Float64Array {
  const length = source.unsigned();
  const bytes = source.bytes(length * 8);
  const list = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  const column = unpackIntegers(source, count);
  for (let at = 0; at < count; at++) {
    const place = column[at] ?? 0;
    if (!(place >= 0 && place < length)) throw new DamagedBytes('a place is not in the list');
    column[at] = list.getFloat64(place * 8, true);
  }
  return column;
}

function packBits(column: ArrayLike<number>, effort: Effort): Uint8Array {
  const count = column.length;
  const doubles = new Uint8Array(Float64Array.from(column).buffer);
  const parted = new Uint8Array(count * 8);
  for (let plane = 0; plane < 8; plane++) {
    for (let at = 0; at < count; at++) {
      const now = doubles[at * 8 + plane] ?? 0;
      const before = at === 0 ? 0 : (doubles[(at - 1) * 8 + plane] ?? 0);
      parted[plane * count + at] = now ^ before;
    }
  }
  const sink = new ByteSink();
  sink.byte(BITS);
  const deflated = effort === 'long' ? deflatedBest(parted) : null;
  const isShorter = deflated !== null && deflated.length < parted.length;
  sink.unsigned(isShorter ? deflated.length : 0);
  sink.bytes(isShorter ? deflated : parted);
  return sink.taken();
}

function unpackBits(source: ByteSource, count: number): Float64Array {
  const length = source.unsigned();
  const parted = length === 0 ? source.bytes(count * 8) : inflated(source.bytes(length), count * 8);
  if (parted.length !== count * 8) throw new DamagedBytes('there are too few bytes');
  const doubles = new Uint8Array(count * 8);
  for (let plane = 0; plane < 8; plane++) {
    let byte = 0;
    for (let at = 0; at < count; at++) {
      byte ^= parted[plane * count + at] ?? 0;
      doubles[at * 8 + plane] = byte;
    }
  }
  return new Float64Array(doubles.buffer);
}
