/** Alert events that hang together: what was changed behind SQLite's back is found. */
import Database from 'better-sqlite3';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createHash } from 'node:crypto';
import { beforeEach, describe, expect, onTestFinished, test } from 'vitest';
import { addMissingLinks, brokenLinks } from '../../../daemon/store/event-chain.ts';
import { ALERTS_MIGRATIONS, migrate } from '../../../daemon/store/migrations.ts';
import { AlertRecord } from '../../../daemon/store/alert-record.ts';
import { eventWith } from './fixtures.ts';

let db: Database.Database;

const write = (from: number, to: number): void => {
  for (let seq = from; seq <= to; seq += 1) {
    new AlertRecord(db).write({ alertEvents: [eventWith(seq)], panelEvents: [] }, null, 1);
  }
};
const change = (sql: string): void => void db.exec(sql);
const links = (): unknown => db.prepare('SELECT link FROM alert_event ORDER BY seq').pluck().all();

beforeEach(() => {
  const folder = mkdtempSync(join(tmpdir(), 'panelward-chain-'));
  db = new Database(join(folder, 'alerts.db'));
  onTestFinished(() => {
    db.close();
    rmSync(folder, { recursive: true, force: true });
  });
  migrate(db, ALERTS_MIGRATIONS);
});

describe('the chain of alert events', () => {
  test('is the SHA-256 of what stands in each row and of the link before it', () => {
    write(1, 2);
    const [first, second] = db
      .prepare<[], Record<string, unknown>>('SELECT * FROM alert_event ORDER BY seq')
      .all();
    const digest = (before: unknown, row: Record<string, unknown> = {}) => {
      const { seq, at_ms, alert_id, type, actor, alert_json } = row;
      const text = JSON.stringify([before, seq, at_ms, alert_id, type, actor, alert_json]);
      return createHash('sha256').update(text).digest('hex');
    };
    expect(first?.['link']).toBe(digest('', first));
    expect(second?.['link']).toBe(digest(first?.['link'], second));
  });

  test.each([
    ['a person', `UPDATE alert_event SET actor = 'Somebody' WHERE seq = 3`, [3]],
    ['an instant', 'UPDATE alert_event SET at_ms = at_ms + 1 WHERE seq = 1', [1]],
    [
      'a word',
      `UPDATE alert_event SET alert_json = replace(alert_json, 'e', 'a') WHERE seq = 5`,
      [5],
    ],
    [
      'a row and its link',
      `UPDATE alert_event SET actor = 'x', link = (SELECT link FROM alert_event WHERE seq = 4) WHERE seq = 3`,
      [3, 4],
    ],
  ])('tells that %s was changed', (_what, sql, numbers) => {
    write(1, 5);
    expect(brokenLinks(db)).toEqual([]);
    change(sql);
    expect(brokenLinks(db)).toEqual(numbers);
  });

  test('is whole again when what was lost has come back as it was', () => {
    write(1, 5);
    const before = links();
    change(`CREATE TEMP TABLE kept AS SELECT * FROM alert_event WHERE seq IN (2, 3);
            DELETE FROM alert_event WHERE seq IN (2, 3)`);
    expect(brokenLinks(db)).toEqual([]);
    change(`UPDATE kept SET link = NULL; INSERT INTO alert_event SELECT * FROM kept`);
    addMissingLinks(db);
    expect(links()).toEqual(before);
    expect(brokenLinks(db)).toEqual([]);
  });

  test('does not take what came back changed', () => {
    write(1, 5);
    change(`UPDATE alert_event SET actor = 'Somebody', link = NULL WHERE seq = 3`);
    addMissingLinks(db);
    expect(brokenLinks(db)).toEqual([4]);
  });

  test('begins in the middle of a record that is older than it', () => {
    write(1, 3);
    change('UPDATE alert_event SET link = NULL');
    write(4, 5);
    addMissingLinks(db);
    expect(brokenLinks(db)).toEqual([]);
  });
});
