/**
 * A chunk: the readings of one point in one hour, as two blobs. Their instants stand apart from
 * their values, because all points of one message have the same instants, which are then kept once.
 * Instants are packed as steps, and the guess "as before" on steps makes it the delta of deltas;
 * steps scattered around a rhythm are shorter against their mean, and the shortest is taken.
 */
import { ByteSink, ByteSource, DamagedBytes } from './bytes.ts';
import { type Effort, packIntegers, unpackIntegers } from './integers.ts';
import { packNumbers, unpackNumbers } from './numbers.ts';

/** Readings of one point in order of time, no two at one instant. */
export interface Column {
  /** Whole milliseconds. */
  times: ArrayLike<number>;
  values: ArrayLike<number | string>;
}

export const EMPTY_COLUMN: Column = { times: [], values: [] };

/** The first byte of every blob, so that another way can be told from this one day. */
const VERSION = 1;
const NUMBERS = 0;
const WORDS = 1;

/** `times` in order, all at or after `startMs`. */
export function packTimes(times: ArrayLike<number>, startMs: number, effort: Effort): Uint8Array {
  const sink = new ByteSink();
  sink.byte(VERSION);
  sink.unsigned(times.length);
  const steps = new Float64Array(times.length);
  for (let at = 0; at < times.length; at++) {
    steps[at] = (times[at] ?? 0) - (at === 0 ? startMs : (times[at - 1] ?? 0));
  }
  if (times.length > 0) sink.unsigned(steps[0] ?? 0);
  packIntegers(sink, steps.subarray(1), effort);
  return sink.taken();
}

export function unpackTimes(body: Uint8Array, startMs: number): Float64Array {
  const source = new ByteSource(body);
  const count = versionChecked(source).unsigned();
  const times = new Float64Array(count);
  if (count === 0) return times;
  let atMs = startMs + source.unsigned();
  times[0] = atMs;
  const steps = unpackIntegers(source, count - 1);
  for (let at = 1; at < count; at++) {
    atMs += steps[at - 1] ?? 0;
    times[at] = atMs;
  }
  return times;
}

export function packValues(values: ArrayLike<number | string>, effort: Effort): Uint8Array {
  const sink = new ByteSink();
  sink.byte(VERSION);
  const numbers = asNumbers(values);
  sink.byte(numbers === null ? WORDS : NUMBERS);
  if (numbers === null) packWords(sink, values, effort);
  else packNumbers(sink, numbers, effort);
  return sink.taken();
}

export function unpackValues(body: Uint8Array, count: number): ArrayLike<number | string> {
  const source = versionChecked(new ByteSource(body));
  return source.byte() === NUMBERS ? unpackNumbers(source, count) : unpackWords(source, count);
}

function versionChecked(source: ByteSource): ByteSource {
  if (source.byte() !== VERSION) throw new DamagedBytes('no such version');
  return source;
}

function asNumbers(values: ArrayLike<number | string>): Float64Array | null {
  const numbers = new Float64Array(values.length);
  for (let at = 0; at < values.length; at++) {
    const value = values[at] ?? 0;
    if (typeof value === 'string') return null;
    numbers[at] = value;
  }
  return numbers;
}

/** Each different value once, words and numbers alike, and the column as places in that list. */
function packWords(sink: ByteSink, values: ArrayLike<number | string>, effort: Effort): void {
  const places = new Map<string, number>();
  const column = new Float64Array(values.length);
  const list = new ByteSink();
  for (let at = 0; at < values.length; at++) {
    const value = values[at] ?? 0;
    const key =
      typeof value === 'string' ? `word ${value}` : `number ${Object.is(value, -0) ? '-0' : value}`;
    let place = places.get(key);
    if (place === undefined) {
      place = places.size;
      places.set(key, place);
      list.byte(typeof value === 'string' ? WORDS : NUMBERS);
      if (typeof value === 'string') list.text(value);
      else list.double(value);
    }
    column[at] = place;
  }
  sink.unsigned(places.size);
  sink.bytes(list.taken());
  packIntegers(sink, column, effort);
}

function unpackWords(source: ByteSource, count: number): (number | string)[] {
  const list: (number | string)[] = [];
  for (let left = source.unsigned(); left > 0; left--) {
    list.push(source.byte() === WORDS ? source.text() : source.double());
  }
  return Array.from(unpackIntegers(source, count), (place) => {
    const value = list[place];
    if (value === undefined) throw new DamagedBytes('a place is not in the list');
    return value;
  });
}

/** Both in order of time; at one instant `first` stands. */
export function merged(first: Column, second: Column): Column {
  if (second.times.length === 0) return first;
  if (first.times.length === 0) return second;
  const endsBefore = (a: Column, b: Column): boolean =>
    (a.times[a.times.length - 1] ?? 0) < (b.times[0] ?? 0);
  if (endsBefore(first, second)) return joined(first, second);
  if (endsBefore(second, first)) return joined(second, first);
  const times: number[] = [];
  const values: (number | string)[] = [];
  let [a, b] = [0, 0];
  while (a < first.times.length || b < second.times.length) {
    const aMs = first.times[a] ?? Infinity;
    const bMs = second.times[b] ?? Infinity;
    const isFirst = aMs <= bMs;
    times.push(Math.min(aMs, bMs));
    values.push((isFirst ? first.values[a] : second.values[b]) ?? 0);
    if (isFirst) a += 1;
    if (bMs <= aMs) b += 1;
  }
  return { times, values };
}

function joined(first: Column, second: Column): Column {
  return {
    times: [...Array.from(first.times), ...Array.from(second.times)],
    values: [...Array.from(first.values), ...Array.from(second.values)],
  };
}
