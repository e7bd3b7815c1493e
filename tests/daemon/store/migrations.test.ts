import Database from 'better-sqlite3';
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import {
  ALERTS_APPLICATION_ID,
  ALERTS_MIGRATIONS,
  HISTORY_APPLICATION_ID,
  HISTORY_MIGRATIONS,
  migrate,
  type Migration,
  versionOf,
} from '../../../daemon/store/migrations.ts';
import { eventWith, openedStore, START_MS, temporaryFolder, watchAt } from './fixtures.ts';

const schemaOf = (db: Database.Database): unknown =>
  db.prepare('SELECT type, name, sql FROM sqlite_schema ORDER BY name').all();

const digestOf = (path: string): string =>
  createHash('sha256').update(readFileSync(path)).digest('hex');

const FILES = [
  ['alerts.db', ALERTS_MIGRATIONS, ALERTS_APPLICATION_ID],
  ['history.db', HISTORY_MIGRATIONS, HISTORY_APPLICATION_ID],
] as const;

describe.each(FILES)('the migrations of %s', (_name, migrations, applicationId) => {
  it('lead from every version to the same tables', () => {
    const whole = new Database(':memory:');
    migrate(whole, migrations);
    expect(versionOf(whole)).toBe(migrations.length);
    expect(whole.pragma('application_id', { simple: true })).toBe(applicationId);
    for (let version = 0; version <= migrations.length; version += 1) {
      const db = new Database(':memory:');
      migrate(db, migrations.slice(0, version));
      expect(versionOf(db)).toBe(version);
      migrate(db, migrations);
      expect(versionOf(db)).toBe(migrations.length);
      expect(schemaOf(db)).toEqual(schemaOf(whole));
      db.close();
    }
    whole.close();
  });
});

describe('migrate', () => {
  const steps: Migration[] = [
    { means: 'one', sql: 'CREATE TABLE one (a); INSERT INTO one VALUES (1);' },
    { means: 'two', sql: 'ALTER TABLE one ADD COLUMN b; UPDATE one SET b = a + 1;' },
    { means: 'three', sql: 'CREATE TABLE three (c); INSERT INTO three SELECT b FROM one;' },
  ];

  it('takes every step once, in order, with what the file holds', () => {
    const db = new Database(':memory:');
    migrate(db, steps.slice(0, 1));
    db.exec('INSERT INTO one VALUES (10)');
    migrate(db, steps);
    migrate(db, steps);
    expect(db.prepare('SELECT c FROM three ORDER BY c').pluck().all()).toEqual([2, 11]);
    db.close();
  });

  it('leaves nothing of a step that fails half-way', () => {
    const db = new Database(':memory:');
    const broken = {
      means: 'broken',
      sql: 'CREATE TABLE half (a); INSERT INTO nowhere VALUES (1)',
    };
    expect(() => migrate(db, [...steps.slice(0, 2), broken])).toThrow(/nowhere/);
    expect(versionOf(db)).toBe(2);
    expect(schemaOf(db)).toHaveLength(1);
    migrate(db, steps);
    expect(versionOf(db)).toBe(3);
    db.close();
  });
});

describe.each(FILES)('a %s that is not for this version', (name, migrations) => {
  function change(folder: string, sql: string): string {
    const db = new Database(join(folder, name));
    db.exec(sql);
    db.close();
    return join(folder, name);
  }

  it('is refused when it is newer, and both files are left untouched', () => {
    const first = openedStore();
    first.store.commit({
      alertEvents: [eventWith(1)],
      panelEvents: [],
      savedWatch: watchAt(1),
    });
    first.store.addReading({ pointId: 'a', value: 1, atMs: START_MS });
    first.store.close();
    change(first.folder, `PRAGMA user_version = ${migrations.length + 1}`);
    const digests = FILES.map(([each]) => digestOf(join(first.folder, each)));
    expect(() => openedStore(first.folder)).toThrow(
      new RegExp(`${name} was written by a newer panelward.*version ${migrations.length + 1}`),
    );
    expect(FILES.map(([each]) => digestOf(join(first.folder, each)))).toEqual(digests);
  });

  it('is refused when it is a database of something else', () => {
    const folder = temporaryFolder();
    const path = change(folder, 'CREATE TABLE recipe (name TEXT)');
    const digest = digestOf(path);
    expect(() => openedStore(folder)).toThrow(/not one of panelward's/);
    expect(digestOf(path)).toBe(digest);
  });
});
