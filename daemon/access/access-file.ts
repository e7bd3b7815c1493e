/**
 * `access.db`: who may do what, who is signed in, and the audit trail. A file of its own, so that it
 * is never part of a backup or an export. Only its owner may read it; a commit is on the disk before
 * it returns. The daemon and the command line may have it open at the same time.
 */
import Database from 'better-sqlite3';
import { chmodSync, closeSync, mkdirSync, openSync } from 'node:fs';
import { join } from 'node:path';

export const ACCESS_FILE = 'access.db';
const APPLICATION_ID = 0x50576163;
const OWNER_ONLY = 0o600;
/** The command line and the daemon write at the same time now and then. */
const PATIENCE_MS = 5000;

/** It cannot be opened; the message is for a person. */
export class AccessProblem extends Error {
  override readonly name = 'AccessProblem';
}

/** Step by step; a step that has shipped is never edited. */
const MIGRATIONS: readonly string[] = [
  `
  PRAGMA application_id = ${APPLICATION_ID};
  CREATE TABLE person (
    number INTEGER PRIMARY KEY AUTOINCREMENT,
    name TEXT NOT NULL,
    -- The name as names are compared.
    key TEXT NOT NULL UNIQUE,
    role TEXT NOT NULL CHECK (role IN ('guest', 'crew', 'technician')),
    -- PHC string.
    password TEXT NOT NULL,
    made_at_ms REAL NOT NULL
  ) STRICT;
  CREATE TABLE session (
    -- SHA-256 of the token; the token itself is in the browser only.
    token_hash TEXT PRIMARY KEY,
    number INTEGER NOT NULL UNIQUE,
    person INTEGER NOT NULL REFERENCES person (number) ON DELETE CASCADE,
    made_at_ms REAL NOT NULL,
    seen_at_ms REAL NOT NULL,
    -- When the password was given last.
    proved_at_ms REAL NOT NULL,
    address TEXT NOT NULL
  ) STRICT;
  CREATE INDEX session_by_person ON session (person);
  CREATE TABLE set_up_code (
    one INTEGER PRIMARY KEY CHECK (one = 1),
    salt TEXT NOT NULL,
    code_hash TEXT NOT NULL,
    -- Null until a running daemon has seen it: only its clock counts.
    ends_at_ms REAL,
    tries INTEGER NOT NULL DEFAULT 0
  ) STRICT;
  CREATE TABLE audit (
    seq INTEGER PRIMARY KEY AUTOINCREMENT,
    wall_ms REAL NOT NULL,
    clock_ms REAL NOT NULL,
    who TEXT NOT NULL,
    role TEXT NOT NULL,
    address TEXT NOT NULL,
    act TEXT NOT NULL,
    object TEXT NOT NULL,
    outcome TEXT NOT NULL,
    previous_hash TEXT NOT NULL,
    hash TEXT NOT NULL
  ) STRICT;
  CREATE TRIGGER audit_is_never_changed BEFORE UPDATE ON audit
    BEGIN SELECT RAISE(ABORT, 'the audit trail is only added to'); END;
  CREATE TRIGGER audit_is_never_deleted BEFORE DELETE ON audit
    BEGIN SELECT RAISE(ABORT, 'the audit trail is only added to'); END;
  `,
  `
  CREATE TABLE program (
    name TEXT PRIMARY KEY,
    -- SHA-256 of the token; the token itself only the program has.
    token_hash TEXT NOT NULL UNIQUE,
    made_at_ms REAL NOT NULL
  ) STRICT;
  `,
];

/** Opens the file of the folder, or makes it. Throws AccessProblem. */
export function openAccessFile(folder: string): Database.Database {
  const path = join(folder, ACCESS_FILE);
  let db: Database.Database | undefined;
  try {
    mkdirSync(folder, { recursive: true });
    // SQLite gives its log files the mode of the file itself.
    closeSync(openSync(path, 'a', OWNER_ONLY));
    chmodSync(path, OWNER_ONLY);
    db = new Database(path, { timeout: PATIENCE_MS });
    db.pragma('journal_mode = WAL');
    db.pragma('synchronous = FULL');
    db.pragma('foreign_keys = ON');
    // What is deleted, a session or a hash, is not left lying in the file.
    db.pragma('secure_delete = ON');
    bringUpToDate(db, path);
    return db;
  } catch (error) {
    db?.close();
    if (error instanceof AccessProblem) throw error;
    if (!isOfDisk(error)) throw error;
    throw new AccessProblem(
      `${path} cannot be opened (${error.message}), so nobody can sign in. It was left as it is.`,
      { cause: error },
    );
  }
}

function bringUpToDate(db: Database.Database, path: string): void {
  db.transaction(() => {
    const version = Number(db.pragma('user_version', { simple: true }));
    const id = Number(db.pragma('application_id', { simple: true }));
    if (version > MIGRATIONS.length) {
      throw new AccessProblem(`${path} was written by a newer panelward. It was left untouched.`);
    }
    if (version > 0 && id !== APPLICATION_ID) {
      throw new AccessProblem(`${path} is a database, but not one of panelward's.`);
    }
    for (const sql of MIGRATIONS.slice(version)) db.exec(sql);
    db.pragma(`user_version = ${MIGRATIONS.length}`);
  }).immediate();
}

/** From SQLite or the file system, as against a mistake of ours. */
export function isOfDisk(error: unknown): error is Error {
  if (error instanceof Database.SqliteError) return error.code !== 'SQLITE_ERROR';
  return error instanceof Error && 'syscall' in error;
}
