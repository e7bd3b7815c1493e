/** What a restart finds after the disk has misbehaved, held to what was promised before. */
import Database from 'better-sqlite3';
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect } from 'vitest';
import { manualClock } from '../../../daemon/clock.ts';
import { openStore } from '../../../daemon/store/store.ts';
import { eventWith, watchAt } from '../records.ts';

export interface Found {
  lastSeq: number;
  problems: string[];
}

/** Number of the last event in a file of promises; 0 if none. */
export function promisedSeq(path: string): number {
  if (!existsSync(path)) return 0;
  // A line without its end was not said.
  const lines = readFileSync(path, 'utf8').split('\n').slice(0, -1);
  const last = lines.findLast((line) => line.startsWith('event '));
  return last === undefined ? 0 : Number(last.slice('event '.length));
}

/**
 * Opens the store, works with it once, and holds that no promised event is lost, changed or
 * doubled, and that what SQLite finds in the files is well. The watch is as it was at the last
 * event, whatever one place of the disk has done: it is kept twice, as events are.
 */
export function expectKept(folder: string, promised: number): Found {
  const store = openStore({ folder, clock: manualClock(0), log: () => {}, ballastBytes: 0 });
  const lastSeq = store.lastSeq();
  expect(lastSeq).toBeGreaterThanOrEqual(promised);
  expect(store.loadWatch()).toEqual(lastSeq === 0 ? null : watchAt(lastSeq));
  const { problems } = store.health();
  const next = { alertEvents: [eventWith(lastSeq + 1)], panelEvents: [] };
  expect(store.commit({ ...next, savedWatch: watchAt(lastSeq + 1) })).toEqual({ isDurable: true });
  store.close();
  expectRecordWhole(folder, lastSeq + 1);
  return { lastSeq, problems };
}

function expectRecordWhole(folder: string, lastSeq: number): void {
  const db = new Database(join(folder, 'alerts.db'), { readonly: true });
  try {
    expect(db.pragma('integrity_check', { simple: true })).toBe('ok');
    const rows = db
      .prepare<[], [number, string]>('SELECT seq, alert_json FROM alert_event ORDER BY seq')
      .raw()
      .all();
    expect(rows.map(([seq]) => seq)).toEqual(Array.from({ length: lastSeq }, (_, i) => i + 1));
    for (const [seq, text] of rows) expect(JSON.parse(text)).toEqual(eventWith(seq).alert);
  } finally {
    db.close();
  }
}
