/**
 * The disk fails in the middle of bringing the tables of an older version up to date: all of a step
 * or nothing of it, and the next start goes on from there with every event.
 */
import Database from 'better-sqlite3';
import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { ALERTS_MIGRATIONS, migrate, versionOf } from '../../../daemon/store/migrations.ts';
import { type Bundled, bundled } from '../plain-node.ts';
import { eventWith, watchAt } from '../records.ts';
import { expectKept, promisedSeq } from './found.ts';
import { compiledShim, type Shim, twoAtATime, worked } from './shim.ts';

const EVENTS = 12;
const NUMBERS = [5, 8, 10, 12, 14, 16, 18, 20, 24, 30, 40];

let worker: Bundled;
let shim: Shim;
let root: string;
beforeAll(async () => {
  shim = compiledShim();
  worker = await bundled('tests/faults/disk/worker.ts');
  root = mkdtempSync(join(tmpdir(), 'panelward-upgrade-'));
});
afterAll(() => {
  worker.remove();
  shim.remove();
  rmSync(root, { recursive: true, force: true });
});

/** A record as the first version left it. */
function makeOld(folder: string): void {
  mkdirSync(folder);
  const db = new Database(join(folder, 'alerts.db'));
  db.pragma('journal_mode = WAL');
  migrate(db, ALERTS_MIGRATIONS.slice(0, 1));
  const add = db.prepare('INSERT INTO alert_event VALUES (?, ?, ?, ?, ?, ?)');
  for (let seq = 1; seq <= EVENTS; seq += 1) {
    const { atMs, alertId, type, actor, alert } = eventWith(seq);
    add.run(seq, atMs, alertId, type, actor, JSON.stringify(alert));
  }
  const { atMs } = watchAt(EVENTS);
  db.prepare('INSERT INTO saved_watch VALUES (1, ?, ?)').run(atMs, JSON.stringify(watchAt(EVENTS)));
  db.close();
}

describe('an upgrade of the tables', () => {
  it.each([
    ['EIO', true],
    ['ENOSPC', false],
    ['ENOSPC', true],
  ] as const)('cut off by %s (for good: %s) loses nothing', async (errno, isSticky) => {
    const versions = new Set<number>();
    await twoAtATime(NUMBERS, async (at) => {
      const folder = join(root, `${errno}-${isSticky}-${at}`);
      makeOld(folder);
      const promises = `${folder}.promises`;
      const fail = { at, errno, isSticky };
      await worked({ worker: worker.path, shim, folder, promises, fail });
      const db = new Database(join(folder, 'alerts.db'), { readonly: true });
      versions.add(versionOf(db));
      db.close();
      const { lastSeq } = expectKept(folder, Math.max(EVENTS, promisedSeq(promises)));
      expect(lastSeq).toBeGreaterThanOrEqual(EVENTS);
    });
    // Some were cut off before the end, or the test would show nothing.
    if (isSticky) expect(Math.min(...versions)).toBeLessThan(ALERTS_MIGRATIONS.length);
  });
});
