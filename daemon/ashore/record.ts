/**
 * What the watcher keeps on its own disk: of each boat its memory, and letters until somebody else
 * has them. News and the memory that made it are one transaction, so neither is without the other.
 */
import Database from 'better-sqlite3';
import { existsSync, renameSync, rmSync } from 'node:fs';
import * as z from 'zod';
import type { Letter } from '../../rules/index.ts';
import { beatSchema } from './beat.ts';
import type { BoatMemory } from './silence.ts';

const APPLICATION_ID = 0x50576173;
const TABLES = `
  CREATE TABLE IF NOT EXISTS boat (id TEXT PRIMARY KEY, memory TEXT NOT NULL) STRICT;
  CREATE TABLE IF NOT EXISTS letter (key TEXT PRIMARY KEY, letter TEXT NOT NULL) STRICT;
`;

const memorySchema: z.ZodType<BoatMemory> = z.object({
  last: z
    .object({
      beat: beatSchema,
      receivedAtMs: z.number(),
      // Absent in what an older version wrote.
      peak: z.object({ boot: z.number(), sequence: z.number() }).optional(),
      vouchedMs: z.number().optional(),
    })
    .nullable(),
  atMs: z.number(),
  watchedSinceMs: z.number(),
  unheardMs: z.number(),
  listenedMs: z.number(),
  silence: z.object({ sinceMs: z.number(), times: z.number(), nextAtMs: z.number() }).nullable(),
});

export class AshoreRecord {
  readonly #db: Database.Database;

  /** Throws what SQLite says where the file is not to be had. */
  constructor(path: string) {
    this.#db = opened(path);
  }

  /** By the boat's id; what cannot be read is left out, and the boat begins anew. */
  memories(): Map<string, BoatMemory> {
    const rows = this.#db.prepare<[], { id: string; memory: string }>('SELECT * FROM boat').all();
    return new Map(
      rows.flatMap(({ id, memory }) => {
        const read = memorySchema.safeParse(parsed(memory));
        return read.success ? [[id, read.data] as const] : [];
      }),
    );
  }

  /** Puts away what is known of a boat, with the letters that come of it. Throws if it cannot. */
  keep(id: string, memory: BoatMemory, letters: readonly Letter[]): void {
    const put = this.#db.prepare('INSERT OR REPLACE INTO boat (id, memory) VALUES (?, ?)');
    const add = this.#db.prepare('INSERT OR IGNORE INTO letter (key, letter) VALUES (?, ?)');
    this.#db.transaction(() => {
      put.run(id, JSON.stringify(memory));
      for (const letter of letters) add.run(letter.key, JSON.stringify(letter));
    })();
  }

  forgetBoatsBut(ids: readonly string[]): void {
    const known = this.#db.prepare<[], string>('SELECT id FROM boat').pluck().all();
    const forget = this.#db.prepare('DELETE FROM boat WHERE id = ?');
    for (const id of known) if (!ids.includes(id)) forget.run(id);
  }

  /** Letters that nobody has taken yet, oldest first. */
  waitingLetters(): Letter[] {
    const rows = this.#db
      .prepare<[], string>('SELECT letter FROM letter ORDER BY rowid')
      .pluck()
      .all();
    // Written by `keep`, and by nothing else.
    return rows.map((row): Letter => JSON.parse(row));
  }

  letterTaken(key: string): void {
    this.#db.prepare('DELETE FROM letter WHERE key = ?').run(key);
  }

  close(): void {
    this.#db.close();
  }
}

/** Opens the record, or a new one beside a broken one, which is kept. Throws what SQLite says. */
export function openRecord(path: string, log: (line: string) => void): AshoreRecord {
  try {
    return new AshoreRecord(path);
  } catch (error) {
    const code = error instanceof Database.SqliteError ? error.code : '';
    if (code !== 'SQLITE_NOTADB' && !code.startsWith('SQLITE_CORRUPT')) throw error;
    const aside = `${path}.corrupt`;
    for (const end of ['', '-wal', '-shm']) {
      rmSync(aside + end, { force: true });
      if (existsSync(path + end)) renameSync(path + end, aside + end);
    }
    log(`${path} was not usable; it is kept as ${aside}, and a new one was begun.`);
    return new AshoreRecord(path);
  }
}

function opened(path: string): Database.Database {
  const db = new Database(path, { timeout: 2000 });
  try {
    const id = db.pragma('application_id', { simple: true });
    const tables = db.prepare('SELECT count(*) FROM sqlite_schema').pluck().get();
    if (id !== APPLICATION_ID && tables !== 0) {
      throw new Database.SqliteError('it is a database of something else', 'SQLITE_MISMATCH');
    }
    db.pragma('journal_mode = WAL');
    db.pragma('synchronous = FULL');
    db.pragma(`application_id = ${APPLICATION_ID}`);
    db.exec(TABLES);
    return db;
  } catch (error) {
    db.close();
    throw error;
  }
}

/** The last instant in the file at `path` on the watcher's own clock; null where there is none. */
export function lastInstantMs(path: string): number | null {
  try {
    if (!existsSync(path)) return null;
    const record = new AshoreRecord(path);
    const instants = [...record.memories().values()].map(({ atMs }) => atMs);
    record.close();
    return instants.length === 0 ? null : Math.max(...instants);
  } catch {
    // Whoever opens it for good says why.
    return null;
  }
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}
