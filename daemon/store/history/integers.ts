/**
 * A column of whole numbers in few bytes. What is stored is how far each number is from a guess;
 * three ways to guess and three ways to store what is left are tried, and the shortest wins:
 *
 * - guess: the mean of all (noise around one level), the number before (ramps, counters), or a
 *   level that follows the numbers slowly and jumps when they do (noise around levels that change:
 *   a load that is switched). Guessing the number before doubles the variance of noise, half a bit
 *   a reading; the other two do not.
 * - store: bits of one width (short columns, no time to unpack), bytes of seven bits, or these
 *   bytes deflated (long columns; Huffman's code alone where noise has nothing to repeat).
 *
 * Measured over three hours of the demo boat's 45 noisy points (449,069 readings; first-order
 * entropy of the best guess 0.44 B a reading): before alone 0.506 B, mean alone 0.607, level alone
 * 0.466, best of three 0.452. Brotli at quality 5 took 0.510; at 11, its slowest, it took 0.463
 * where deflate took 0.466. That is why it is deflate.
 */
import { constants, deflateRawSync, inflateRawSync } from 'node:zlib';
import {
  ByteSink,
  type ByteSource,
  DamagedBytes,
  folded,
  unfolded,
  unsignedLength,
} from './bytes.ts';

/** Numbers must be whole and within this, so that no difference leaves exact arithmetic. */
export const INTEGER_MAX = 2 ** 50;

/** `short`: no deflate, for columns of some sixty numbers that are read by the thousand. */
export type Effort = 'short' | 'long';

const GUESSES = ['mean', 'before', 'level'] as const;
type Guess = (typeof GUESSES)[number];
const BITS = 0;
const BYTES = 1;
const DEFLATED = 2;

/** Wider than this the bits of two numbers would not fit 32. */
const WIDTH_MAX = 24;
/** Below so many bytes deflate's own header outweighs what it saves. */
const DEFLATE_BYTES_MIN = 40;
/** The level follows an eighth of each surprise, in sixteenths. */
const LEVEL_PARTS = 16;
const LEVEL_STEP = 2;
const LEVEL_MAX = 2 ** 40;

interface Candidate {
  guess: Guess;
  packing: number;
  /** Parameters of the guess: the mean, or the first number; the jump of `level`. */
  start: number;
  jump: number;
  body: Uint8Array;
}

export function packIntegers(sink: ByteSink, column: ArrayLike<number>, effort: Effort): void {
  if (column.length === 0) return;
  let best: Candidate | null = null;
  for (const guess of GUESSES) {
    const candidate = candidateOf(column, guess, effort);
    if (candidate === null) continue;
    if (best === null || candidate.body.length < best.body.length) best = candidate;
  }
  if (best === null) throw new RangeError('no way to pack this column');
  sink.byte(GUESSES.indexOf(best.guess) * 4 + best.packing);
  sink.signed(best.start);
  if (best.guess === 'level') sink.unsigned(best.jump);
  if (best.packing !== BITS) sink.unsigned(best.body.length);
  sink.bytes(best.body);
}

export function unpackIntegers(source: ByteSource, count: number): Float64Array {
  const column = new Float64Array(count);
  if (count === 0) return column;
  const head = source.byte();
  const guess = GUESSES[head >> 2];
  const packing = head & 3;
  if (guess === undefined || packing > DEFLATED) throw new DamagedBytes('no such packing');
  const start = source.signed();
  const jump = guess === 'level' ? source.unsigned() : 0;
  const first = guess === 'mean' ? 0 : 1;
  if (packing === BITS) unpackBits(source, column, first);
  else unpackBytes(source, column, first, packing);
  if (guess === 'mean') for (let at = 0; at < count; at++) column[at] = start + at0(column, at);
  else if (guess === 'before') addUp(column, start);
  else followLevel(column, start, jump);
  return column;
}

function at0(column: ArrayLike<number>, at: number): number {
  return column[at] ?? 0;
}

function candidateOf(column: ArrayLike<number>, guess: Guess, effort: Effort): Candidate | null {
  const start = guess === 'mean' ? meanOf(column) : at0(column, 0);
  const jump = guess === 'level' ? jumpOf(column) : 0;
  if (guess === 'level' && !isModest(column)) return null;
  const left = leftOf(column, guess, start, jump);
  const { packing, body } = packLeft(left, effort);
  return { guess, packing, start, jump, body };
}

function meanOf(column: ArrayLike<number>): number {
  let sum = 0;
  for (let at = 0; at < column.length; at++) sum += at0(column, at) / column.length;
  return Math.round(sum);
}

/** A surprise beyond four times the usual step is a new level. */
function jumpOf(column: ArrayLike<number>): number {
  let steps = 0;
  for (let at = 1; at < column.length; at++)
    steps += Math.abs(at0(column, at) - at0(column, at - 1));
  return Math.ceil((4 * steps) / column.length) + 1;
}

function isModest(column: ArrayLike<number>): boolean {
  for (let at = 0; at < column.length; at++) {
    if (Math.abs(at0(column, at)) > LEVEL_MAX) return false;
  }
  return true;
}

/** What the guess leaves. The first number is the start of two of the guesses, and not repeated. */
function leftOf(column: ArrayLike<number>, guess: Guess, start: number, jump: number) {
  const first = guess === 'mean' ? 0 : 1;
  const left = new Float64Array(column.length - first);
  let level = start * LEVEL_PARTS;
  for (let at = first; at < column.length; at++) {
    const value = at0(column, at);
    if (guess === 'mean') left[at] = value - start;
    else if (guess === 'before') left[at - 1] = value - at0(column, at - 1);
    else {
      const surprise = value - Math.round(level / LEVEL_PARTS);
      left[at - 1] = surprise;
      level = nextLevel(level, value, surprise, jump);
    }
  }
  return left;
}

function nextLevel(level: number, value: number, surprise: number, jump: number): number {
  return Math.abs(surprise) > jump ? value * LEVEL_PARTS : level + surprise * LEVEL_STEP;
}

function addUp(column: Float64Array, start: number): void {
  let value = start;
  column[0] = start;
  for (let at = 1; at < column.length; at++) {
    value += at0(column, at);
    column[at] = value;
  }
}

function followLevel(column: Float64Array, start: number, jump: number): void {
  let level = start * LEVEL_PARTS;
  column[0] = start;
  for (let at = 1; at < column.length; at++) {
    const surprise = at0(column, at);
    const value = surprise + Math.round(level / LEVEL_PARTS);
    column[at] = value;
    level = nextLevel(level, value, surprise, jump);
  }
}

function packLeft(left: Float64Array, effort: Effort): { packing: number; body: Uint8Array } {
  let least = Infinity;
  let most = -Infinity;
  let byteLength = 0;
  for (const each of left) {
    if (each < least) least = each;
    if (each > most) most = each;
    byteLength += unsignedLength(folded(each));
  }
  if (left.length === 0) [least, most] = [0, 0];
  const width = widthOf(most - least);
  const bitLength = 2 + Math.ceil((left.length * width) / 8);
  const isNarrow = width <= WIDTH_MAX;
  const plain = isNarrow && bitLength <= byteLength ? BITS : BYTES;
  const body = plain === BITS ? bitsOf(left, least, width) : bytesOf(left, byteLength);
  if (effort === 'short' || body.length < DEFLATE_BYTES_MIN) return { packing: plain, body };
  const deflated = deflatedBest(plain === BYTES ? body : bytesOf(left, byteLength));
  return deflated.length < body.length
    ? { packing: DEFLATED, body: deflated }
    : { packing: plain, body };
}

function widthOf(range: number): number {
  let width = 0;
  for (let reach = 1; reach <= range; reach *= 2) width += 1;
  return width;
}

function bitsOf(left: Float64Array, least: number, width: number): Uint8Array {
  const sink = new ByteSink();
  sink.signed(least);
  sink.byte(width);
  let waiting = 0;
  let bits = 0;
  for (const each of left) {
    waiting |= (each - least) << bits;
    bits += width;
    while (bits >= 8) {
      sink.byte(waiting & 255);
      waiting >>>= 8;
      bits -= 8;
    }
  }
  if (bits > 0) sink.byte(waiting & 255);
  return sink.taken();
}

function unpackBits(source: ByteSource, column: Float64Array, first: number): void {
  const least = source.signed();
  const width = source.byte();
  if (width > WIDTH_MAX) throw new DamagedBytes('a number is too wide');
  const bytes = source.bytes(Math.ceil(((column.length - first) * width) / 8));
  const mask = 2 ** width - 1;
  let waiting = 0;
  let bits = 0;
  let next = 0;
  for (let at = first; at < column.length; at++) {
    while (bits < width) {
      waiting |= at0(bytes, next++) << bits;
      bits += 8;
    }
    column[at] = least + (waiting & mask);
    waiting >>>= width;
    bits -= width;
  }
}

function bytesOf(left: Float64Array, length: number): Uint8Array {
  const bytes = new Uint8Array(length);
  let at = 0;
  for (const each of left) {
    let rest = folded(each);
    while (rest >= 128) {
      bytes[at++] = (rest % 128) + 128;
      rest = Math.floor(rest / 128);
    }
    bytes[at++] = rest;
  }
  return bytes;
}

function unpackBytes(source: ByteSource, column: Float64Array, first: number, packing: number) {
  const body = source.bytes(source.unsigned());
  const bytes = packing === DEFLATED ? inflated(body, column.length * 8) : body;
  let next = 0;
  for (let at = first; at < column.length; at++) {
    let byte = bytes[next++];
    if (byte === undefined) throw new DamagedBytes('there are too few bytes');
    let value = byte & 127;
    for (let scale = 128; byte >= 128; scale *= 128) {
      byte = bytes[next++];
      if (byte === undefined || scale > 2 ** 49) throw new DamagedBytes('a number is too long');
      value += (byte & 127) * scale;
    }
    column[at] = unfolded(value);
  }
}

/** The shorter of Huffman's code alone and with repetitions found. */
export function deflatedBest(bytes: Uint8Array): Uint8Array {
  const level = 9;
  const alone = deflateRawSync(bytes, { level, strategy: constants.Z_HUFFMAN_ONLY });
  const repeated = deflateRawSync(bytes, { level });
  return repeated.length < alone.length ? repeated : alone;
}

/** Throws DamagedBytes if they are no deflated bytes, or more than `lengthMax` of them. */
export function inflated(bytes: Uint8Array, lengthMax: number): Uint8Array {
  try {
    return inflateRawSync(bytes, { maxOutputLength: Math.max(1, lengthMax) });
  } catch (error) {
    throw new DamagedBytes('deflated bytes have changed', { cause: error });
  }
}
