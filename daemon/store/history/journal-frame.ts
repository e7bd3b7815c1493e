/**
 * A piece of the journal: readings of some ten seconds in few bytes. Points of one message have the
 * same instants, which are written once. Points are called by their ids, so that the journal can be
 * read without the database.
 */
import { deflateRawSync } from 'node:zlib';
import { ByteSink, ByteSource, DamagedBytes } from './bytes.ts';
import { packTimes, packValues, unpackTimes, unpackValues } from './chunk.ts';
import type { StoredReading } from './history.ts';
import { inflated } from './integers.ts';

/** No frame unpacks to more: a damaged length must not take all memory. */
const UNPACKED_MAX = 64 * 1024 * 1024;
/** Packing costs time while the watch waits; the default level takes a third of the best one's. */
const LEVEL = 6;

interface Growing {
  times: number[];
  values: (number | string)[];
}

export function packReadings(readings: readonly StoredReading[]): Uint8Array {
  const groups = grouped(readings);
  const sink = new ByteSink();
  sink.unsigned(groups.size);
  for (const [instants, points] of groups) {
    sink.unsigned(instants.length);
    sink.bytes(Buffer.from(instants, 'latin1'));
    sink.unsigned(points.length);
    for (const [pointId, values] of points) {
      sink.text(pointId);
      const packed = packValues(values, 'short');
      sink.unsigned(packed.length);
      sink.bytes(packed);
    }
  }
  return deflateRawSync(sink.taken(), { level: LEVEL });
}

/** Throws DamagedBytes. */
export function unpackReadings(packed: Uint8Array): StoredReading[] {
  const source = new ByteSource(inflated(packed, UNPACKED_MAX));
  const readings: StoredReading[] = [];
  for (let groups = source.unsigned(); groups > 0; groups--) {
    const times = unpackTimes(source.bytes(source.unsigned()), 0);
    for (let points = source.unsigned(); points > 0; points--) {
      const pointId = source.text();
      const values = unpackValues(source.bytes(source.unsigned()), times.length);
      for (let at = 0; at < times.length; at++) {
        const value = values[at];
        if (value === undefined) throw new DamagedBytes('a value is missing');
        readings.push({ pointId, atMs: times[at] ?? 0, value });
      }
    }
  }
  return readings;
}

/** Points with their values by packed instants. */
function grouped(readings: readonly StoredReading[]): Map<string, [string, Growing['values']][]> {
  const byPoint = new Map<string, Growing>();
  for (const { pointId, atMs, value } of inOrder(readings)) {
    let column = byPoint.get(pointId);
    if (column === undefined) byPoint.set(pointId, (column = { times: [], values: [] }));
    column.times.push(atMs);
    column.values.push(value);
  }
  const groups = new Map<string, [string, Growing['values']][]>();
  for (const [pointId, { times, values }] of byPoint) {
    const instants = Buffer.from(packTimes(times, 0, 'short')).toString('latin1');
    const group = groups.get(instants);
    if (group === undefined) groups.set(instants, [[pointId, values]]);
    else group.push([pointId, values]);
  }
  return groups;
}

function inOrder(readings: readonly StoredReading[]): readonly StoredReading[] {
  const isInOrder = readings.every(
    ({ atMs }, at) => at === 0 || atMs >= (readings[at - 1]?.atMs ?? 0),
  );
  return isInOrder ? readings : readings.toSorted((a, b) => a.atMs - b.atMs);
}
