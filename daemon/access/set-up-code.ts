/**
 * The code with which the first person of a boat is let in: eight random digits, good for a quarter
 * of an hour, five tries and one use. It stands in a file that only the owner of the data folder
 * can read, and on the console; never in a log.
 */
import type { Database } from 'better-sqlite3';
import { createHash, randomBytes, randomInt, timingSafeEqual } from 'node:crypto';
import { chmodSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';

export const CODE_FILE = 'first-sign-in-code.txt';
export const CODE_LIFE_MS = 15 * 60_000;
export const CODE_TRIES = 5;
const DIGITS = 8;
const OWNER_ONLY = 0o600;

interface Kept {
  salt: string;
  code_hash: string;
  ends_at_ms: number | null;
  tries: number;
}

export type CodeVerdict = 'right' | 'wrong' | 'used up';

export class SetUpCode {
  readonly #db: Database;
  readonly #path: string;

  constructor(db: Database, folder: string) {
    this.#db = db;
    this.#path = join(folder, CODE_FILE);
  }

  /** Where the code can be read. */
  get path(): string {
    return this.#path;
  }

  /** A new one in place of any old; its life begins when a running daemon sees it. */
  renew(): string {
    const code = String(randomInt(10 ** DIGITS)).padStart(DIGITS, '0');
    const salt = randomBytes(16).toString('hex');
    writeFileSync(this.#path, `${code}\n`, { mode: OWNER_ONLY });
    chmodSync(this.#path, OWNER_ONLY);
    this.#db
      .prepare('INSERT OR REPLACE INTO set_up_code (one, salt, code_hash) VALUES (1, ?, ?)')
      .run(salt, hashOf(code, salt));
    return code;
  }

  /** Starts the life of a new code and ends one that is over. To be called every few seconds. */
  look(nowMs: number): void {
    const kept = this.#kept();
    if (kept === undefined) return;
    if (kept.ends_at_ms === null) {
      this.#db.prepare('UPDATE set_up_code SET ends_at_ms = ?').run(nowMs + CODE_LIFE_MS);
    } else if (nowMs >= kept.ends_at_ms || kept.tries >= CODE_TRIES) this.drop();
  }

  /** Judges a code; a wrong one is a try. A right one stays good until `drop`. */
  judge(code: string, nowMs: number): CodeVerdict {
    this.look(nowMs);
    const kept = this.#kept();
    if (kept === undefined) return 'used up';
    const given = Buffer.from(hashOf(code, kept.salt));
    if (timingSafeEqual(given, Buffer.from(kept.code_hash))) return 'right';
    this.#db.prepare('UPDATE set_up_code SET tries = tries + 1').run();
    this.look(nowMs);
    return 'wrong';
  }

  /** No code is good any more. */
  drop(): void {
    this.#db.prepare('DELETE FROM set_up_code').run();
    rmSync(this.#path, { force: true });
  }

  #kept(): Kept | undefined {
    return this.#db.prepare<[], Kept>('SELECT * FROM set_up_code').get();
  }
}

const hashOf = (code: string, salt: string): string =>
  createHash('sha256').update(`${salt}:${code}`).digest('hex');
