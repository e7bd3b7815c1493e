/**
 * Ways to pack an hour of one point, by kind of signal: bytes a reading and processor time, instants
 * and values together, each point with instants of its own (the store keeps those of one message
 * once). What is unpacked is held against what was packed, to the bit, except where a way only
 * takes decimals.
 */
import * as zlib from 'node:zlib';
import { ByteSink, ByteSource } from '../../daemon/store/history/bytes.ts';
import {
  type Column,
  packTimes,
  packValues,
  unpackTimes,
  unpackValues,
} from '../../daemon/store/history/chunk.ts';
import { benchSignals, type Signal } from './bench-signals.ts';
import { packGorilla, unpackGorilla } from './gorilla-stream.ts';

const HOUR_READINGS = 3600;
const ROUNDS = 3;
const PARTS = 1000;

interface Codec {
  name: string;
  /** Null for a column that it does not take. */
  pack: (column: Column) => Uint8Array | null;
  unpack: (packed: Uint8Array, count: number) => Column;
}

const ours: Codec = {
  name: 'ours',
  pack: ({ times, values }) => {
    const sink = new ByteSink();
    const packed = packTimes(times, times[0] ?? 0, 'long');
    sink.unsigned(times[0] ?? 0);
    sink.unsigned(packed.length);
    sink.bytes(packed);
    sink.bytes(packValues(values, 'long'));
    return sink.taken();
  },
  unpack: (packed, count) => {
    const source = new ByteSource(packed);
    const startMs = source.unsigned();
    const length = source.unsigned();
    const times = unpackTimes(source.bytes(length), startMs);
    const rest = packed.length - sizeOf(startMs) - sizeOf(length) - length;
    return { times, values: unpackValues(source.bytes(rest), count) };
  },
};

/** Thousandths as whole numbers, steps of steps of both columns, then a general compressor. */
function stepsAnd(
  name: string,
  squeeze: (bytes: Uint8Array) => Uint8Array,
  restore: (bytes: Uint8Array) => Uint8Array,
): Codec {
  return {
    name: `steps of steps + ${name}`,
    pack: ({ times, values }) => {
      const wholes = Array.from(values, (value) => Math.round(Number(value) * PARTS));
      if (wholes.some((whole, at) => whole / PARTS !== values[at])) return null;
      const sink = new ByteSink();
      putSteps(sink, times);
      putSteps(sink, wholes);
      return squeeze(sink.taken());
    },
    unpack: (packed, count) => {
      const source = new ByteSource(restore(packed));
      const times = getSteps(source, count);
      return { times, values: getSteps(source, count).map((whole) => whole / PARTS) };
    },
  };
}

function codecs(): Codec[] {
  const all = [
    ours,
    { name: 'Gorilla bit stream', pack: packGorilla, unpack: unpackGorilla },
    stepsAnd('deflate 9', (bytes) => zlib.deflateRawSync(bytes, { level: 9 }), zlib.inflateRawSync),
    stepsAnd(
      'brotli 5',
      (bytes) =>
        zlib.brotliCompressSync(bytes, { params: { [zlib.constants.BROTLI_PARAM_QUALITY]: 5 } }),
      zlib.brotliDecompressSync,
    ),
    {
      name: 'float64 + deflate 9',
      pack: ({ times, values }: Column) => {
        const both = Float64Array.from([...Array.from(times), ...Array.from(values, Number)]);
        return zlib.deflateRawSync(both, { level: 9 });
      },
      unpack: (packed: Uint8Array, count: number) => {
        const bytes = new Uint8Array(zlib.inflateRawSync(packed));
        const both = new Float64Array(bytes.buffer);
        return { times: both.subarray(0, count), values: both.subarray(count) };
      },
    },
  ];
  // Newer versions of Node have it, that of a Pi's own Debian has not.
  const zstd: unknown = Reflect.get(zlib, 'zstdCompressSync');
  const unzstd: unknown = Reflect.get(zlib, 'zstdDecompressSync');
  const isThere = typeof zstd === 'function' && typeof unzstd === 'function';
  const call = (work: unknown) => (bytes: Uint8Array) =>
    Reflect.apply(work as (bytes: Uint8Array) => Uint8Array, undefined, [bytes]);
  return isThere ? [...all, stepsAnd('zstd', call(zstd), call(unzstd))] : all;
}

function putSteps(sink: ByteSink, column: ArrayLike<number>): void {
  let [before, step] = [0, 0];
  for (let at = 0; at < column.length; at++) {
    const value = column[at] ?? 0;
    sink.signed(value - before - step);
    [before, step] = [value, at === 0 ? 0 : value - before];
  }
}

function getSteps(source: ByteSource, count: number): Float64Array {
  const column = new Float64Array(count);
  let [value, step] = [0, 0];
  for (let at = 0; at < count; at++) {
    const next = value + step + source.signed();
    step = at === 0 ? 0 : next - value;
    column[at] = value = next;
  }
  return column;
}

function sizeOf(value: number): number {
  const sink = new ByteSink();
  sink.unsigned(value);
  return sink.length;
}

function hoursOf({ times, values }: Signal): Column[] {
  return Array.from({ length: Math.ceil(times.length / HOUR_READINGS) }, (_, hour) => {
    const [from, to] = [hour * HOUR_READINGS, (hour + 1) * HOUR_READINGS];
    return { times: times.subarray(from, to), values: values.subarray(from, to) };
  });
}

/** Bytes a reading, and microseconds a reading to pack and to unpack; null where it does not apply. */
function figuresOf(codec: Codec, hours: readonly Column[]): [number, number, number] | null {
  let [bytes, readings, packing, unpacking] = [0, 0, 0, 0];
  for (let round = 0; round <= ROUNDS; round++) {
    for (const column of hours) {
      const start = process.cpuUsage();
      const packed = codec.pack(column);
      const middle = process.cpuUsage(start);
      if (packed === null) return null;
      const again = process.cpuUsage();
      const back = codec.unpack(packed, column.times.length);
      const end = process.cpuUsage(again);
      checkSame(codec.name, column, back);
      // The first round only warms up.
      if (round === 0) continue;
      bytes += packed.length;
      readings += column.times.length;
      packing += middle.user + middle.system;
      unpacking += end.user + end.system;
    }
  }
  return [bytes / readings, packing / readings, unpacking / readings];
}

function checkSame(name: string, { times, values }: Column, back: Column): void {
  for (let at = 0; at < times.length; at++) {
    if (times[at] === back.times[at] && Object.is(values[at], back.values[at])) continue;
    throw new Error(`${name} gives back another reading at ${at}`);
  }
}

export function codecFigures(): string[] {
  const lines = [
    'bytes a reading (microseconds to pack, to unpack), instants and values, by the hour',
  ];
  for (const signal of benchSignals()) {
    lines.push(`${signal.name}:`);
    for (const codec of codecs()) {
      const figures = figuresOf(codec, hoursOf(signal));
      const [bytes, packing, unpacking] = figures ?? [Number.NaN, Number.NaN, Number.NaN];
      const told =
        figures === null
          ? 'takes decimals only'
          : `${bytes.toFixed(3)} (${packing.toFixed(2)}, ${unpacking.toFixed(2)})`;
      lines.push(`  ${codec.name.padEnd(28)} ${told}`);
    }
  }
  return lines;
}
