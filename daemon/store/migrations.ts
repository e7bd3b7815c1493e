/**
 * How the tables of the two files came to be, step by step. A step that has ever shipped is never
 * edited; a change is a new step at the end.
 */
import type { Database } from 'better-sqlite3';
import { CHUNK_TABLES_SQL } from './history/tables.ts';

export interface Migration {
  /** SQL that brings a file from the version before to this one; its version is its place, from 1. */
  readonly sql: string;
  /** What it is for. */
  readonly means: string;
}

/** Brings `db` to the last step, each step in a transaction of its own: all of it or nothing. */
export function migrate(db: Database, migrations: readonly Migration[]): void {
  for (const [index, migration] of migrations.entries()) {
    const version = index + 1;
    if (versionOf(db) >= version) continue;
    db.transaction(() => {
      db.exec(migration.sql);
      db.pragma(`user_version = ${version}`);
    }).immediate();
  }
}

export function versionOf(db: Database): number {
  return Number(db.pragma('user_version', { simple: true }));
}

/** Marks the files as ours in their header, so that another database of that name is refused. */
export const ALERTS_APPLICATION_ID = 0x5057616c;
export const HISTORY_APPLICATION_ID = 0x50576869;

export const ALERTS_MIGRATIONS: readonly Migration[] = [
  {
    means: 'alert events, alerts as they stand, panel events, the saved watch',
    sql: `
      PRAGMA application_id = ${ALERTS_APPLICATION_ID};
      CREATE TABLE alert_event (
        seq INTEGER PRIMARY KEY,
        at_ms REAL NOT NULL,
        alert_id TEXT NOT NULL,
        type TEXT NOT NULL,
        actor TEXT NOT NULL,
        alert_json TEXT NOT NULL
      ) STRICT;
      CREATE INDEX alert_event_by_alert ON alert_event (alert_id, seq);
      -- Numbers that were given out but whose events never reached this file, and why.
      CREATE TABLE lost_alert_events (
        first_seq INTEGER NOT NULL,
        last_seq INTEGER PRIMARY KEY,
        noted_at_ms REAL NOT NULL,
        why TEXT NOT NULL
      ) STRICT;
      CREATE TABLE alert (
        id TEXT PRIMARY KEY,
        is_open INTEGER NOT NULL,
        raised_at_ms REAL NOT NULL,
        alert_json TEXT NOT NULL
      ) STRICT, WITHOUT ROWID;
      CREATE INDEX alert_by_raised ON alert (raised_at_ms);
      CREATE INDEX alert_by_open ON alert (is_open, raised_at_ms);
      CREATE TABLE panel_event (
        number INTEGER PRIMARY KEY,
        at_ms REAL NOT NULL,
        type TEXT NOT NULL,
        part TEXT NOT NULL,
        text TEXT NOT NULL
      ) STRICT;
      CREATE INDEX panel_event_by_time ON panel_event (at_ms);
      CREATE TABLE saved_watch (
        one INTEGER PRIMARY KEY CHECK (one = 1),
        at_ms REAL NOT NULL,
        watch_json TEXT NOT NULL
      ) STRICT;
    `,
  },
  {
    means: 'what the wall clock has to do with the clock that the records were made by',
    sql: `
      -- One row for each start, and one more where a trusted wall clock jumped. See time-axis.ts.
      CREATE TABLE boot (
        number INTEGER PRIMARY KEY,
        starts_at_ms REAL NOT NULL,
        offset_ms REAL NOT NULL,
        quality TEXT NOT NULL CHECK (quality IN ('unverified', 'synchronised', 'corrected')),
        machine_run TEXT
      ) STRICT;
    `,
  },
  {
    means: 'what a person said, so that a replay can say it again',
    sql: 'ALTER TABLE panel_event ADD COLUMN said_json TEXT;',
  },
  {
    means: 'which parts fed a bus before and after a change, for charts',
    sql: 'ALTER TABLE panel_event ADD COLUMN feed_json TEXT;',
  },
  {
    means: 'which of the two copies of the saved watch is the newer, and whether it is whole',
    sql: `
      ALTER TABLE saved_watch ADD COLUMN number INTEGER NOT NULL DEFAULT 0;
      ALTER TABLE saved_watch ADD COLUMN crc INTEGER;
    `,
  },
  {
    means: 'letters that leave the boat, who has been told what, browsers that want to be told',
    sql: `
      CREATE TABLE letter (
        -- In the order in which they were written.
        number INTEGER PRIMARY KEY,
        key TEXT NOT NULL UNIQUE,
        state TEXT NOT NULL
          CHECK (state IN ('waiting', 'sent', 'given up', 'withdrawn', 'in a digest')),
        way TEXT NOT NULL,
        contact TEXT NOT NULL,
        alert_id TEXT,
        -- 0 is the most urgent.
        priority INTEGER NOT NULL,
        attempts INTEGER NOT NULL DEFAULT 0,
        next_try_at_ms REAL NOT NULL,
        tried_at_ms REAL,
        ended_at_ms REAL,
        problem TEXT,
        answer TEXT,
        letter_json TEXT NOT NULL
      ) STRICT;
      CREATE INDEX letter_by_way ON letter (way, state, ended_at_ms);
      CREATE INDEX letter_by_state ON letter (state, number);
      CREATE TABLE saved_telling (
        one INTEGER PRIMARY KEY CHECK (one = 1),
        telling_json TEXT NOT NULL
      ) STRICT;
      CREATE TABLE push_subscription (
        number INTEGER PRIMARY KEY,
        endpoint TEXT NOT NULL UNIQUE,
        subscription_json TEXT NOT NULL
      ) STRICT;
    `,
  },
  {
    means: 'a digest of each alert event and of the one before it',
    sql: 'ALTER TABLE alert_event ADD COLUMN link TEXT;',
  },
];

export const HISTORY_MIGRATIONS: readonly Migration[] = [
  {
    // Time first in the key: readings arrive in order of time, so a commit appends to the last
    // pages. With the point first it would touch a page a point and write fourteen times as much.
    means: 'readings in order of time; a small number for each point',
    sql: `
      PRAGMA application_id = ${HISTORY_APPLICATION_ID};
      CREATE TABLE point (number INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE) STRICT;
      CREATE TABLE reading (
        at_ms INTEGER NOT NULL,
        point INTEGER NOT NULL REFERENCES point (number),
        value NOT NULL,
        PRIMARY KEY (at_ms, point)
      ) WITHOUT ROWID;
      -- The last alert event that was seen on the disk: a witness outside the alert record itself.
      CREATE TABLE alert_witness (
        one INTEGER PRIMARY KEY CHECK (one = 1),
        last_seq INTEGER NOT NULL
      ) STRICT;
    `,
  },
  {
    // Rows of the table `reading` stay where they are; the history takes them over bit by bit.
    means: 'compressed chunks, rollups in four widths, clips',
    sql: CHUNK_TABLES_SQL,
  },
];
