/**
 * The tables of `history.db` for chunks, rollups and clips, and how their keys are made. A key is a
 * rowid: number of the hour (or wider span) times 65,536 plus number of the point, so that whatever
 * is written last goes to the end of its table, pages fill up, and no index is needed.
 */
export const HOUR_MS = 3_600_000;
export const DAY_MS = 24 * HOUR_MS;
/** Points have numbers below this. */
export const POINTS_MAX = 65_536;
/** Instants from 1970 to the year 9999 have a place. */
export const LAST_MS = Date.UTC(9999, 11, 31);

export function keyOf(span: number, point: number): number {
  return span * POINTS_MAX + point;
}

export function spanOf(key: number): number {
  return Math.floor(key / POINTS_MAX);
}

export function pointOf(key: number): number {
  return key % POINTS_MAX;
}

export const CHUNK_TABLES_SQL = `
  -- Readings of one point in one hour. times: key of their instants, which many points share.
  CREATE TABLE chunk (
    key INTEGER PRIMARY KEY,
    times INTEGER NOT NULL,
    readings INTEGER NOT NULL,
    packed BLOB NOT NULL
  ) STRICT;
  -- Instants within an hour; here the key is the hour times 65,536 plus any number.
  CREATE TABLE times (key INTEGER PRIMARY KEY, packed BLOB NOT NULL) STRICT;
  -- The minutes of one point in one hour, for ever.
  CREATE TABLE minutes (key INTEGER PRIMARY KEY, packed BLOB NOT NULL) STRICT;
  -- Wider tiers, many rows in one blob; the key's span is the blob's, see tiers.ts.
  CREATE TABLE quarters (key INTEGER PRIMARY KEY, packed BLOB NOT NULL) STRICT;
  CREATE TABLE hours (key INTEGER PRIMARY KEY, packed BLOB NOT NULL) STRICT;
  CREATE TABLE days (key INTEGER PRIMARY KEY, packed BLOB NOT NULL) STRICT;
  -- Days of points whose minutes have changed since they were folded into the wider tiers.
  CREATE TABLE unfolded (key INTEGER PRIMARY KEY) STRICT;
  -- Spans whose readings are never deleted.
  CREATE TABLE clip (
    at_ms REAL NOT NULL,
    about TEXT NOT NULL,
    from_ms INTEGER NOT NULL,
    to_ms INTEGER NOT NULL,
    PRIMARY KEY (at_ms, about)
  ) STRICT, WITHOUT ROWID;
  -- Single numbers: what was counted, and how far a work has come.
  CREATE TABLE mark (name TEXT PRIMARY KEY, value REAL NOT NULL) STRICT, WITHOUT ROWID;
`;
