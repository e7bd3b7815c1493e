/**
 * The bit stream of "Gorilla: A Fast, Scalable, In-Memory Time Series Database" (VLDB 2015, section
 * 4.1), for comparison only: instants as deltas of deltas, doubles by XOR with the one before. Two
 * things differ because instants here are milliseconds: the first delta has 32 bits, not 14.
 */
import type { Column } from '../../daemon/store/history/chunk.ts';

/** Steps of steps within so many on either side take this many bits, behind this prefix. */
const STEPS = [
  { prefix: 0b10, prefixBits: 2, reach: 63, bits: 7 },
  { prefix: 0b110, prefixBits: 3, reach: 255, bits: 9 },
  { prefix: 0b1110, prefixBits: 4, reach: 2047, bits: 12 },
];
const LEADING_MAX = 31;

const double = new Float64Array(1);
const halves = new Uint32Array(double.buffer);

class BitSink {
  readonly #bytes: Uint8Array;
  #at = 0;

  constructor(bytes: number) {
    this.#bytes = new Uint8Array(bytes);
  }

  /** The lowest bits of a whole number, at most 32 of them. */
  put(value: number, count: number): void {
    for (let left = count; left > 0;) {
      const room = 8 - (this.#at & 7);
      const some = Math.min(room, left);
      const part = (value >>> (left - some)) & ((1 << some) - 1);
      const byte = this.#at >> 3;
      this.#bytes[byte] = (this.#bytes[byte] ?? 0) | (part << (room - some));
      this.#at += some;
      left -= some;
    }
  }

  taken(): Uint8Array {
    return this.#bytes.slice(0, Math.ceil(this.#at / 8));
  }
}

class BitSource {
  readonly #bytes: Uint8Array;
  #at = 0;

  constructor(bytes: Uint8Array) {
    this.#bytes = bytes;
  }

  get(count: number): number {
    let value = 0;
    for (let left = count; left > 0;) {
      const room = 8 - (this.#at & 7);
      const some = Math.min(room, left);
      const byte = this.#bytes[this.#at >> 3] ?? 0;
      value = (value << some) | ((byte >>> (room - some)) & ((1 << some) - 1));
      this.#at += some;
      left -= some;
    }
    return value >>> 0;
  }
}

function trailingZeros(value: number): number {
  return 31 - Math.clz32(value & -value);
}

export function packGorilla({ times, values }: Column): Uint8Array {
  const sink = new BitSink(16 + times.length * 16);
  let [time, step] = [times[0] ?? 0, 0];
  sink.put(Math.floor(time / 2 ** 32), 32);
  sink.put(time % 2 ** 32, 32);
  let [high, low, leading, trailing] = [0, 0, 64, 64];
  for (let at = 0; at < times.length; at++) {
    const next = times[at] ?? 0;
    if (at > 0) {
      if (at === 1) sink.put(next - time, 32);
      else putStep(sink, next - time - step);
      [time, step] = [next, next - time];
    }
    double[0] = Number(values[at]);
    const [nextLow = 0, nextHigh = 0] = halves;
    const [xorHigh, xorLow] = [(nextHigh ^ high) >>> 0, (nextLow ^ low) >>> 0];
    [high, low] = [nextHigh, nextLow];
    if (at === 0) {
      sink.put(high, 32);
      sink.put(low, 32);
      continue;
    }
    if (xorHigh === 0 && xorLow === 0) {
      sink.put(0, 1);
      continue;
    }
    const lead = Math.min(
      LEADING_MAX,
      xorHigh === 0 ? 32 + Math.clz32(xorLow) : Math.clz32(xorHigh),
    );
    const trail = xorLow === 0 ? 32 + trailingZeros(xorHigh) : trailingZeros(xorLow);
    if (lead >= leading && trail >= trailing) sink.put(0b10, 2);
    else {
      [leading, trailing] = [lead, trail];
      sink.put(0b11, 2);
      sink.put(leading, 5);
      sink.put((64 - leading - trailing) & 63, 6);
    }
    const bits = 64 - leading - trailing;
    const [upper, lower] = shiftedRight(xorHigh, xorLow, trailing);
    if (bits > 32) sink.put(upper, bits - 32);
    sink.put(lower, Math.min(32, bits));
  }
  return sink.taken();
}

export function unpackGorilla(bytes: Uint8Array, count: number): Column {
  const source = new BitSource(bytes);
  const times = new Float64Array(count);
  const values = new Float64Array(count);
  let [time, step] = [source.get(32) * 2 ** 32 + source.get(32), 0];
  let [high, low, leading, trailing] = [0, 0, 0, 0];
  for (let at = 0; at < count; at++) {
    if (at > 0) {
      step = at === 1 ? source.get(32) : step + getStep(source);
      time += step;
    }
    times[at] = time;
    if (at === 0) [high, low] = [source.get(32), source.get(32)];
    else if (source.get(1) === 1) {
      if (source.get(1) === 1) {
        leading = source.get(5);
        trailing = 64 - leading - (source.get(6) || 64);
      }
      const bits = 64 - leading - trailing;
      const upper = bits > 32 ? source.get(bits - 32) : 0;
      const lower = source.get(Math.min(32, bits));
      const [xorHigh, xorLow] = shiftedLeft(upper, lower, trailing);
      [high, low] = [(high ^ xorHigh) >>> 0, (low ^ xorLow) >>> 0];
    }
    halves[0] = low;
    halves[1] = high;
    values[at] = double[0] ?? 0;
  }
  return { times, values };
}

function putStep(sink: BitSink, change: number): void {
  if (change === 0) {
    sink.put(0, 1);
    return;
  }
  for (const { prefix, prefixBits, reach, bits } of STEPS) {
    if (change < -reach || change > reach + 1) continue;
    sink.put(prefix, prefixBits);
    sink.put(change + reach, bits);
    return;
  }
  sink.put(0b1111, 4);
  sink.put(change, 32);
}

function getStep(source: BitSource): number {
  if (source.get(1) === 0) return 0;
  for (const { reach, bits } of STEPS) if (source.get(1) === 0) return source.get(bits) - reach;
  return source.get(32) | 0;
}

function shiftedRight(high: number, low: number, by: number): [number, number] {
  if (by === 0) return [high, low];
  if (by >= 32) return [0, high >>> (by - 32)];
  return [high >>> by, ((low >>> by) | (high << (32 - by))) >>> 0];
}

function shiftedLeft(high: number, low: number, by: number): [number, number] {
  if (by === 0) return [high, low];
  if (by >= 32) return [(low << (by - 32)) >>> 0, 0];
  return [((high << by) | (low >>> (32 - by))) >>> 0, (low << by) >>> 0];
}
