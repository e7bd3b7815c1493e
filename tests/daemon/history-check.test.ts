/** Every byte that a bad card turns is found by the full check. */
import Database from 'better-sqlite3';
import { mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, it, onTestFinished } from 'vitest';
import { manualClock } from '../../daemon/clock.ts';
import { checkHistory } from '../../daemon/history-check.ts';
import { openStore } from '../../daemon/store/store.ts';
import { alertWith, eventWith, START_MS, watchAt } from './store/fixtures.ts';

async function recorded(): Promise<string> {
  const folder = mkdtempSync(join(tmpdir(), 'panelward-check-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  const clock = manualClock(START_MS);
  const store = openStore({ folder, clock, log: () => {}, ballastBytes: 0 });
  const alert = alertWith({ id: 'a#1' });
  const alertEvents = [eventWith(1, { alertId: alert.id, alert })];
  store.commit({ alertEvents, panelEvents: [], savedWatch: watchAt(1) });
  for (let second = 0; second < 600; second++) {
    store.addReading({ pointId: 'a', value: second % 7, atMs: START_MS + second * 1000 });
  }
  clock.advanceTo(START_MS + 2 * 3_600_000);
  // The first may have begun in the hour of the readings.
  await store.upkeep();
  await store.upkeep();
  store.close();
  return folder;
}

function checked(folder: string): { code: number; text: string } {
  const lines: string[] = [];
  const code = checkHistory(folder, (line) => void lines.push(line));
  return { code, text: lines.join('\n') };
}

function change(path: string, sql: string): void {
  const db = new Database(path);
  db.exec(sql);
  db.close();
}

it('finds nothing in what is sound, and changes nothing', async () => {
  const folder = await recorded();
  const { code, text } = checked(folder);
  expect(code, text).toBe(0);
  expect(text).toMatch(/history\.db, chunk +sound \(1\)/);
  expect(text).toMatch(/alert events +sound \(1\)/);
  expect(text).toContain('All of it is as it was written.');
  expect(readdirSync(folder)).toContain('history.db');
});

it.each([
  ['history.db', 'UPDATE minutes SET packed = zeroblob(length(packed))', /minutes +1 of 1 pieces/],
  ['history.db', "UPDATE chunk SET packed = x'00'", /chunk +1 of 1 pieces/],
  ['alerts.db', "UPDATE alert_event SET alert_json = '{\"id'", /1 alert events cannot be read/],
  [
    'alerts.db',
    "UPDATE saved_watch SET watch_json = '{'",
    /The saved watch is not as it was written/,
  ],
])('finds what has changed in %s: %s', async (name, sql, says) => {
  const folder = await recorded();
  change(join(folder, name), sql);
  const { code, text } = checked(folder);
  expect(text).toMatch(says);
  expect(code).toBe(1);
});

it('says in a line where there is nothing', () => {
  const { code, text } = checked(join(tmpdir(), 'panelward-nowhere'));
  expect(code).toBe(1);
  expect(text).toMatch(/^There is no record in .*: no alerts\.db\.$/);
});
