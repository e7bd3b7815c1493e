/**
 * The demonstration boat for days on end through decoding, rules and the store, in one process: what
 * panelward holds on to must not grow. An hour here; `DAYS=30 npm run soak:long` compares a month
 * with its second day. Memory is read after the collector was made to run.
 */
import { mkdtempSync, readdirSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { expect, test } from 'vitest';
import { settingFor } from '../simulator/demo-boats.ts';
import { speakingEvery } from '../truth/run-fast.ts';
import { runStation, simulated } from './station-run.ts';

const DAYS = Number(process.env['DAYS'] ?? '0.05');
const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
const EVERY_MS = 10_000;
const START_MS = Date.UTC(2026, 5, 1);
/** By then every table of habits, rollups and days has its size: a day's in a short run, else two. */
const SETTLED_MS = DAYS >= 3 ? 2 * DAY_MS : (DAYS / 2) * DAY_MS;
const LOOK_EVERY_MS = DAYS >= 3 ? 12 * HOUR_MS : HOUR_MS / 5;
/** What a heap may gain whatever its size, and the ratio that it may. */
const MOST_GAIN_BYTES = 5 * 1024 * 1024;
const MOST_RATIO = 1.05;

// The same as node --expose-gc, for this process only.
setFlagsFromString('--expose-gc');
const collect = runInNewContext('gc') as () => void;

interface Mark {
  atMs: number;
  heapBytes: number;
  handles: number;
  diskBytes: number;
  isWritable: boolean;
}

test(`${DAYS} days leave no more behind than the first`, { timeout: 12 * HOUR_MS }, async () => {
  const folder = mkdtempSync(join(tmpdir(), 'panelward-long-'));
  const setting = settingFor('quiet-day', 1);
  const boat = speakingEvery(setting.boat, EVERY_MS);
  const marks: Mark[] = [];
  const untilMs = DAYS * DAY_MS;
  const { told, lines } = await runStation({
    boat,
    sensors: simulated({ ...setting, boat }),
    folder,
    wall: { nowMs: (passedMs) => START_MS + passedMs, synchronisedAtMs: () => START_MS },
    untilMs,
    evaluateEveryMs: EVERY_MS,
    async look(passedMs, store) {
      if (passedMs % LOOK_EVERY_MS !== 0 && passedMs !== untilMs) return;
      // Lets what has ended be let go of: closed handles, settled promises.
      await new Promise((resolve) => setImmediate(resolve));
      collect();
      const mark = {
        atMs: passedMs,
        heapBytes: process.memoryUsage().heapUsed,
        handles: standingHandles(),
        diskBytes: sizeOf(folder),
        isWritable: store.health().isWritable,
      };
      marks.push(mark);
      if (DAYS >= 3) process.stdout.write(`${lineOf(mark)}\n`);
    },
  });
  rmSync(folder, { recursive: true });

  const early = marks.find(({ atMs }) => atMs >= SETTLED_MS);
  const last = marks.at(-1);
  if (!early || !last) throw new Error('nothing was measured');
  const report = [early, last].map(lineOf).join('; ');
  const mostBytes = Math.max(early.heapBytes * MOST_RATIO, early.heapBytes + MOST_GAIN_BYTES);
  expect(last.heapBytes, report).toBeLessThan(mostBytes);
  expect(last.handles, report).toBeLessThanOrEqual(early.handles);
  expect(last.diskBytes, 'it did record').toBeGreaterThan(100_000);
  expect(last.isWritable, 'and the hours went from the journal into the database').toBe(true);
  expect(lines.filter((line) => /refuses|could not be written/.test(line))).toEqual([]);
  expect(told.filter(({ priority }) => priority === 'emergency alarm')).toEqual([]);
});

/** What keeps the process busy and does not end by itself: no reads under way. */
function standingHandles(): number {
  const passing = /^(FS|Immediate|TickObject)/;
  return process.getActiveResourcesInfo().filter((kind) => !passing.test(kind)).length;
}

function sizeOf(folder: string): number {
  return readdirSync(folder).reduce((sum, name) => sum + statSync(join(folder, name)).size, 0);
}

function lineOf({ atMs, heapBytes, handles, diskBytes }: Mark): string {
  const mebi = (bytes: number): string => (bytes / 1024 / 1024).toFixed(2);
  return `day ${(atMs / DAY_MS).toFixed(2)}: heap ${mebi(heapBytes)} MiB, ${handles} handles, ${mebi(diskBytes)} MiB on the disk`;
}
