/**
 * The disk refuses the n-th kilobyte, for ever larger n, until a run passes untouched (the method
 * of SQLite's own I/O error tests). Whatever n is: alerting goes on, nothing crashes, and once the
 * disk takes writes again, every event and every reading is there.
 */
import Database from 'better-sqlite3';
import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { manualClock } from '../../daemon/clock.ts';
import { openStore } from '../../daemon/store/store.ts';
import { type Bundled, bundled } from './plain-node.ts';
import { watchAt } from './records.ts';
import type { Report } from './store-refused.ts';

const ROUNDS = 61;

let worker: Bundled;
let folder: string;
beforeAll(async () => {
  worker = await bundled('tests/faults/store-refused.ts');
  folder = mkdtempSync(join(tmpdir(), 'panelward-refused-'));
});
afterAll(() => {
  worker.remove();
  rmSync(folder, { recursive: true, force: true });
});

function runWithin(bytesMax: number): Report {
  const text = execFileSync(
    'prlimit',
    [`--fsize=${bytesMax}:`, process.execPath, worker.path, join(folder, String(bytesMax))],
    { encoding: 'utf8', timeout: 60_000 },
  );
  const report: Report = JSON.parse(text);
  return report;
}

/** What the daemon finds after a restart. */
async function found(
  bytesMax: number,
): Promise<{ events: number; readings: number; problems: string[] }> {
  const path = join(folder, String(bytesMax));
  const store = openStore({ folder: path, clock: manualClock(0), log: () => {} });
  const events = store.lastSeq();
  expect(store.loadWatch()).toEqual(events === 0 ? null : watchAt(events));
  const { problems } = store.health();
  const { readings } = await store.reader.info();
  store.close();
  const alerts = new Database(join(path, 'alerts.db'), { readonly: true });
  expect(alerts.pragma('integrity_check', { simple: true })).toBe('ok');
  expect(alerts.prepare('SELECT count(*) FROM alert_event').pluck().get()).toBe(events);
  alerts.close();
  const history = new Database(join(path, 'history.db'), { readonly: true });
  expect(history.pragma('integrity_check', { simple: true })).toBe('ok');
  history.close();
  return { events, readings, problems };
}

/** Runs once within the bound, and holds what must be true whatever happened. */
async function outcomeWithin(bytesMax: number): Promise<'not opened' | 'refused' | 'untouched'> {
  const report = runWithin(bytesMax);
  if (report.problem !== null) {
    await expectClearRefusal(report.problem, bytesMax);
    return 'not opened';
  }
  await expectNothingLost(report, bytesMax);
  if (report.isWritableBefore && report.durable.every(Boolean)) return 'untouched';
  expectSaid(report);
  return 'refused';
}

/** No crash: a sentence, and files that the next start can use. */
async function expectClearRefusal(problem: string, bytesMax: number): Promise<void> {
  expect(problem).toMatch(/alerts\.db cannot be opened: .* writable disk with free space/);
  expect((await found(bytesMax)).events).toBe(0);
}

async function expectNothingLost(report: Report, bytesMax: number): Promise<void> {
  expect(report.durable).toHaveLength(ROUNDS);
  expect(report.durable.at(-1)).toBe(true);
  expect(report.isWritableAfter).toBe(true);
  expect(await found(bytesMax)).toEqual({
    events: ROUNDS,
    readings: report.readings,
    problems: [],
  });
}

function expectSaid({ lines }: Report): void {
  expect(lines.join('\n')).toMatch(
    /The disk refuses: ((alerts|history)\.db: .*SQLITE_|history journal: E[A-Z]+)/,
  );
  expect(lines.at(-1)).toBe('The disk takes writes again.');
}

describe('a disk that refuses', () => {
  it('from any write on stops no alert and loses nothing once it takes writes again', async () => {
    const outcomes: string[] = [];
    // The journal has its two megabytes from the start.
    const stepAfter = (kilobytes: number): number =>
      kilobytes < 64 ? 8 : kilobytes < 512 ? 64 : 512;
    for (let kilobytes = 0; outcomes.at(-1) !== 'untouched'; kilobytes += stepAfter(kilobytes)) {
      expect(kilobytes).toBeLessThan(5000);
      outcomes.push(await outcomeWithin(kilobytes * 1024));
    }
    expect(outcomes).toContain('not opened');
    expect(outcomes.filter((outcome) => outcome === 'refused').length).toBeGreaterThan(3);
    // Once it can be opened, it stays so with more room.
    expect([...new Set(outcomes)]).toEqual(['not opened', 'refused', 'untouched']);
  });
});
