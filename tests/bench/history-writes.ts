/**
 * Bytes written in an hour of 40 points at 1 Hz, all files, beside a plain table that is committed
 * each second and each ten seconds; and what taking a reading costs beside a bare insert.
 * Counted are the bytes of write calls of this process; a file system adds its own.
 */
import { join } from 'node:path';
import type { Reading } from '../../rules/index.ts';
import {
  bytesHandedOver,
  plainTable,
  sampleValue,
  seededNoise,
  withFolder,
  withHistory,
} from './history-folder.ts';

const POINTS = 40;
const HOURS = 3;
const PLAIN_SECONDS = 1200;
const START_MS = Date.UTC(2026, 5, 1);
const JITTER_MS = 20;

function readingsAt(second: number, noise: () => number): Reading[] {
  // Points of four messages; those of one message arrive together.
  const late = Array.from({ length: 4 }, () => Math.round(500 + JITTER_MS * noise()));
  return Array.from({ length: POINTS }, (_, point) => ({
    pointId: `point-${point}`,
    atMs: START_MS + second * 1000 + (late[point % 4] ?? 0),
    value: sampleValue(point, second, noise),
  }));
}

async function historyHour(): Promise<{ bytes: number; micros: number }> {
  return withHistory(START_MS, async ({ engine, clock }) => {
    const noise = seededNoise(1);
    const from = { bytes: 0, micros: 0 };
    let cpu = process.cpuUsage();
    for (let second = 0; second < HOURS * 3600; second++) {
      const readings = readingsAt(second, noise);
      const start = process.cpuUsage();
      // The first hour makes the files; the others are what every hour costs.
      if (second === 3600) [from.bytes, from.micros] = [bytesHandedOver(), 0];
      for (const reading of readings) engine.add(reading, true);
      clock.advanceTo(START_MS + (second + 1) * 1000);
      if (second % 10 === 9) engine.flush(0);
      // Half a minute into the hour the flush has begun what is due; here it is waited for.
      if (second % 3600 === 40) await engine.upkeep();
      cpu = process.cpuUsage(start);
      from.micros += cpu.user + cpu.system;
    }
    const bytes = (bytesHandedOver() - from.bytes) / (HOURS - 1);
    return { bytes, micros: from.micros / ((HOURS - 1) * 3600 * POINTS) };
  });
}

async function plainHour(everySeconds: number): Promise<{ bytes: number; micros: number }> {
  return withFolder(async (folder) => {
    const db = plainTable(join(folder, 'plain.db'));
    const add = db.prepare('INSERT INTO reading VALUES (?, ?, ?)');
    const noise = seededNoise(1);
    const before = bytesHandedOver();
    let micros = 0;
    for (let second = 0; second < PLAIN_SECONDS; second += everySeconds) {
      const readings = Array.from({ length: everySeconds }, (_, at) =>
        readingsAt(second + at, noise),
      );
      const start = process.cpuUsage();
      db.transaction(() => {
        for (const { pointId, atMs, value } of readings.flat()) {
          add.run(atMs, Number(pointId.slice(6)), value);
        }
      })();
      const cpu = process.cpuUsage(start);
      micros += cpu.user + cpu.system;
    }
    db.close();
    const bytes = ((bytesHandedOver() - before) * 3600) / PLAIN_SECONDS;
    return { bytes, micros: micros / (PLAIN_SECONDS * POINTS) };
  });
}

export async function writeFigures(): Promise<string[]> {
  const own = await historyHour();
  const ten = await plainHour(10);
  const one = await plainHour(1);
  const megabytes = (bytes: number): string => `${(bytes / 1e6).toFixed(2)} MB`;
  const rate = (micros: number): string => `${Math.round(1e6 / micros)} readings/s`;
  return [
    `40 points at 1 Hz, written an hour: history ${megabytes(own.bytes)}; plain table committed each 10 s ` +
      `${megabytes(ten.bytes)} (x ${(ten.bytes / own.bytes).toFixed(0)}), each second ${megabytes(one.bytes)} (x ${(one.bytes / own.bytes).toFixed(0)})`,
    `taking readings, chunks and rollups included, processor time: ${rate(own.micros)}; bare inserts ten seconds a commit ` +
      `${rate(ten.micros)} (history at ${(ten.micros / own.micros).toFixed(2)} of it)`,
  ];
}
