/**
 * Programs that may look on without a person, such as one that scrapes metrics: each has a token of
 * its own, of which only the hash is here. What they may ask for stands in route-roles.ts.
 */
import type { Database } from 'better-sqlite3';
import { createHash, randomBytes } from 'node:crypto';
import { isOfDisk } from './access-file.ts';

export interface Program {
  name: string;
  madeAtMs: number;
}

/** A boat has few. */
export const PROGRAMS_MAX = 20;
const TOKEN_BYTES = 32;
const TOKEN = /^[A-Za-z0-9_-]{43}$/;

export class Programs {
  readonly #db: Database;

  constructor(db: Database) {
    this.#db = db;
  }

  /** Oldest first. */
  list(): Program[] {
    return this.#db
      .prepare<[], { name: string; made_at_ms: number }>(
        'SELECT * FROM program ORDER BY made_at_ms',
      )
      .all()
      .map(({ name, made_at_ms: madeAtMs }) => ({ name, madeAtMs }));
  }

  /** A new token, which is not kept: 256 random bits, 43 characters. Any before it is void. */
  add(name: string, nowMs: number): string {
    const token = randomBytes(TOKEN_BYTES).toString('base64url');
    this.#db
      .prepare('INSERT OR REPLACE INTO program VALUES (?, ?, ?)')
      .run(name, hashOf(token), nowMs);
    return token;
  }

  /** Whether there was one. */
  remove(name: string): boolean {
    return this.#db.prepare('DELETE FROM program WHERE name = ?').run(name).changes > 0;
  }

  /** Whose token it is; null: nobody's, or the disk does not say. */
  find(token: string): string | null {
    if (!TOKEN.test(token)) return null;
    try {
      const name = this.#db
        .prepare('SELECT name FROM program WHERE token_hash = ?')
        .pluck()
        .get(hashOf(token));
      return typeof name === 'string' ? name : null;
    } catch (error) {
      if (!isOfDisk(error)) throw error;
      return null;
    }
  }
}

const hashOf = (token: string): string => createHash('sha256').update(token).digest('hex');
