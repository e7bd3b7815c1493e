/**
 * Bytes a stored reading takes, all in, over noisy days of the demo boat (`BENCH_HOURS=720` for a
 * month: some seconds of processor time an hour, told day by day), beside plain rows and the
 * published anchor: Gorilla, VLDB 2015, 1.37 bytes a point.
 */
import { statSync } from 'node:fs';
import { join } from 'node:path';
import { bytesHandedOver, plainTable, withFolder, withHistory } from './history-folder.ts';
import { SIMULATED_START_MS, simulateReadings } from './simulated-readings.ts';
import type { Reading } from '../../rules/index.ts';

const HOURS = Number(process.env['BENCH_HOURS'] ?? 25);
/** Plain rows take the same space every hour. */
const PLAIN_HOURS = 2;
const HOUR_MS = 3_600_000;
const FLUSH_MS = 10_000;
/** A run so long tells what it has so far after each day. */
const LONG_HOURS = 48;

export async function byteFigures(): Promise<string[]> {
  const kept = await withHistory(SIMULATED_START_MS, async ({ engine, clock, path }) => {
    let heard = 0;
    let hours = 0;
    const before = bytesHandedOver();
    for (const batch of hoursOf(HOURS)) {
      for (const reading of batch) {
        if (reading.atMs - clock.nowMs() >= FLUSH_MS) {
          clock.advanceTo(reading.atMs);
          engine.flush(0);
        }
        engine.add(reading, true);
        heard += 1;
      }
      await engine.upkeep();
      hours += 1;
      if (HOURS > LONG_HOURS && hours % 24 === 0) {
        const { bytesPerReading, readings } = await engine.reader.info();
        console.error(
          `${hours / 24} days: ${readings} readings, ${(bytesPerReading ?? Number.NaN).toFixed(3)} bytes a reading`,
        );
      }
    }
    clock.advanceTo(SIMULATED_START_MS + HOURS * HOUR_MS + 60_000);
    engine.flush(0);
    await engine.upkeep();
    const { bytesPerReading, coverage, readings } = await engine.reader.info();
    const written = bytesHandedOver() - before;
    return { heard, readings, bytesPerReading, coverage, written, file: statSync(path).size };
  });
  const plain = await withFolder(async (folder) => {
    const path = join(folder, 'plain.db');
    const db = plainTable(path);
    const add = db.prepare('INSERT OR IGNORE INTO reading VALUES (?, ?, ?)');
    const numbers = new Map<string, number>();
    let rows = 0;
    db.transaction(() => {
      for (const batch of hoursOf(PLAIN_HOURS)) {
        for (const { pointId, atMs, value } of batch) {
          if (!numbers.has(pointId)) numbers.set(pointId, numbers.size);
          rows += add.run(atMs, numbers.get(pointId), value).changes;
        }
      }
    })();
    db.close();
    return statSync(path).size / rows;
  });
  const own = kept.bytesPerReading ?? Number.NaN;
  return [
    `demo boat, ${HOURS} noisy hours, ${kept.heard} readings heard, ${kept.readings} kept (duplicates once): ` +
      `${own.toFixed(3)} bytes a reading with rollups, index and free room; plain rows ${plain.toFixed(1)} ` +
      `(x ${(plain / own).toFixed(0)}); published anchor 1.37 (x ${(1.37 / own).toFixed(2)})`,
    `the same run handed ${(kept.written / HOURS / 1e6).toFixed(2)} MB an hour to write calls, at ${(kept.heard / HOURS / 3600).toFixed(0)} readings a second; coverage ${(100 * (kept.coverage ?? 0)).toFixed(1)} %`,
  ];
}

function* hoursOf(hours: number): Generator<Reading[]> {
  let left = hours;
  for (const hour of simulateReadings()) {
    yield hour;
    left -= 1;
    if (left === 0) return;
  }
}
