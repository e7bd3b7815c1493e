/** A history in a folder that is removed afterwards, and what was written meanwhile. */
import Database from 'better-sqlite3';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { manualClock, type ManualClock } from '../../daemon/clock.ts';
import { HistoryEngine } from '../../daemon/store/history/history-engine.ts';
import { TimeAxis } from '../../daemon/store/time-axis.ts';

export interface BenchHistory {
  engine: HistoryEngine;
  clock: ManualClock;
  path: string;
}

export async function withHistory<Result>(
  startMs: number,
  work: (history: BenchHistory) => Promise<Result>,
): Promise<Result> {
  return withFolder(async (folder) => {
    const clock = manualClock(startMs);
    const path = join(folder, 'history.db');
    const engine = new HistoryEngine({
      path,
      clock,
      onProblem: (sentence) => console.error(sentence),
      axis: () => new TimeAxis([]),
      isWallClockTrusted: () => true,
      happenings: () => [],
    });
    try {
      return await work({ engine, clock, path });
    } finally {
      engine.close();
    }
  });
}

export async function withFolder<Result>(work: (folder: string) => Promise<Result>) {
  const folder = mkdtempSync(join(tmpdir(), 'panelward-bench-'));
  try {
    return await work(folder);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** One row a reading, as a first draft would have it; time first, so that commits append. */
export function plainTable(path: string): Database.Database {
  const db = new Database(path);
  db.pragma('journal_mode = WAL');
  db.pragma('synchronous = FULL');
  db.exec(
    'CREATE TABLE reading (at_ms INTEGER, point INTEGER, value, PRIMARY KEY (at_ms, point)) WITHOUT ROWID',
  );
  return db;
}

/** Bytes that this process has handed to write calls, of any file. */
export function bytesHandedOver(): number {
  return Number(/wchar: (\d+)/.exec(readFileSync('/proc/self/io', 'utf8'))?.[1] ?? 0);
}

/** Mulberry32: small and seeded. */
export function seededNoise(seed: number): () => number {
  let state = seed;
  const unit = (): number => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
  return () => Math.sqrt(-2 * Math.log(1 - unit())) * Math.cos(2 * Math.PI * unit());
}

/** Noisy volts, amperes that are switched, a counter, a contact: by the number of the point. */
export function sampleValue(point: number, second: number, noise: () => number): number {
  if (point % 4 === 0) return round(120 + 0.12 * noise(), 100);
  if (point % 20 === 19) return Math.floor(second / 7);
  const isOn = Math.floor(second / (200 + 37 * point)) % 3 === 0;
  const amps = isOn ? 4 + point / 4 : 0.06;
  return Math.max(0, round(amps + (0.02 + 0.002 * amps) * noise(), 100));
}

function round(value: number, parts: number): number {
  return Math.round(value * parts) / parts;
}
