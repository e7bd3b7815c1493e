/** A history engine on a folder of its own, and the slow and obvious answers to compare it with. */
import { join } from 'node:path';
import { onTestFinished } from 'vitest';
import { manualClock, type ManualClock } from '../../../../daemon/clock.ts';
import type { StoredReading } from '../../../../daemon/store/history/history.ts';
import {
  type EngineOptions,
  HistoryEngine,
} from '../../../../daemon/store/history/history-engine.ts';
import { TimeAxis } from '../../../../daemon/store/time-axis.ts';
import { START_MS, temporaryFolder } from '../fixtures.ts';

export const HOUR_MS = 3_600_000;
export const DAY_MS = 24 * HOUR_MS;

export interface OpenedEngine {
  engine: HistoryEngine;
  clock: ManualClock;
  folder: string;
  problems: string[];
}

export function openedEngine(
  change: Partial<EngineOptions> = {},
  folder: string = temporaryFolder(),
  clock: ManualClock = manualClock(START_MS),
): OpenedEngine {
  const problems: string[] = [];
  const engine = new HistoryEngine({
    path: join(folder, 'history.db'),
    clock,
    onProblem: (sentence) => problems.push(sentence),
    axis: () => new TimeAxis([]),
    isWallClockTrusted: () => true,
    happenings: () => [],
    ...change,
  });
  onTestFinished(() => engine.close());
  return { engine, clock, folder, problems };
}

export async function readingsOf(
  engine: HistoryEngine,
  points: readonly string[],
  fromMs = 0,
  toMs = Number.MAX_SAFE_INTEGER,
): Promise<StoredReading[]> {
  const found: StoredReading[] = [];
  for await (const batch of engine.reader.readings({ points, fromMs, toMs })) found.push(...batch);
  return found;
}

/** In order of time, then of the points as given; of two at one instant the first told stands. */
export function inOrder(
  told: readonly StoredReading[],
  points: readonly string[],
): StoredReading[] {
  const first = new Map<string, StoredReading>();
  for (const reading of told) {
    const key = `${reading.atMs} ${reading.pointId}`;
    if (!first.has(key)) first.set(key, reading);
  }
  return [...first.values()]
    .filter(({ pointId }) => points.includes(pointId))
    .sort((a, b) => a.atMs - b.atMs || points.indexOf(a.pointId) - points.indexOf(b.pointId));
}
