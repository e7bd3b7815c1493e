/**
 * Who is signed in. A session is a random number that only the browser has; here is its hash, so
 * that whoever reads this file can sign in as nobody. Times are of the daemon's clock.
 */
import type { Database } from 'better-sqlite3';
import { createHash, randomBytes } from 'node:crypto';
import type { Role } from '../roles.ts';

const HOUR_MS = 3_600_000;
export const IDLE_MS = 12 * HOUR_MS;
export const LIFE_MS = 30 * 24 * HOUR_MS;
/** So long after the password was given, a technician may change things. */
export const FRESH_MS = HOUR_MS / 2;
export const SESSIONS_EACH_MAX = 10;
/** A memory card is not written at every request. */
const NOTE_SEEN_EVERY_MS = 10 * 60_000;
const TOKEN_BYTES = 32;

/** Somebody who is signed in. */
export interface SignedIn {
  session: number;
  person: number;
  name: string;
  role: Role;
  /** When the password was given last. */
  provedAtMs: number;
}

export interface Session extends SignedIn {
  madeAtMs: number;
  seenAtMs: number;
  address: string;
}

interface Kept {
  number: number;
  person: number;
  name: string;
  role: Role;
  made_at_ms: number;
  seen_at_ms: number;
  proved_at_ms: number;
  address: string;
}

const SELECT = `SELECT session.number, session.person, person.name, person.role, session.made_at_ms,
  session.seen_at_ms, session.proved_at_ms, session.address
  FROM session JOIN person ON person.number = session.person`;

export class Sessions {
  readonly #db: Database;

  constructor(db: Database) {
    this.#db = db;
  }

  /** Begins a session and gives its token, which is not kept. The oldest of too many ends. */
  begin(person: number, address: string, nowMs: number): string {
    const token = randomBytes(TOKEN_BYTES).toString('base64url');
    this.#db
      .transaction(() => {
        const last = Number(
          this.#db.prepare('SELECT ifnull(max(number), 0) FROM session').pluck().get(),
        );
        this.#db
          .prepare('INSERT INTO session VALUES (?, ?, ?, ?, ?, ?, ?)')
          .run(hashOf(token), last + 1, person, nowMs, nowMs, nowMs, address);
        this.#db
          .prepare(
            `DELETE FROM session WHERE person = ? AND number NOT IN
               (SELECT number FROM session WHERE person = ? ORDER BY number DESC LIMIT ?)`,
          )
          .run(person, person, SESSIONS_EACH_MAX);
      })
      .immediate();
    return token;
  }

  /** Whose token it is; null: nobody's, or its session is over, which is then deleted. */
  find(token: string, nowMs: number): SignedIn | null {
    const kept = this.#db
      .prepare<[string], Kept>(`${SELECT} WHERE session.token_hash = ?`)
      .get(hashOf(token));
    if (kept === undefined) return null;
    if (isOver(kept, nowMs)) {
      this.end(kept.number);
      return null;
    }
    const { number: session, person, name, role, proved_at_ms: provedAtMs } = kept;
    return { session, person, name, role, provedAtMs };
  }

  /** Notes that somebody did something, now and then; looking on is not doing. */
  noteSeen(session: number, nowMs: number): void {
    this.#db
      .prepare('UPDATE session SET seen_at_ms = ? WHERE number = ? AND seen_at_ms < ?')
      .run(nowMs, session, nowMs - NOTE_SEEN_EVERY_MS);
  }

  /** Newest first; those that are over are deleted first. */
  list(nowMs: number): Session[] {
    const rows = this.#db.prepare<[], Kept>(`${SELECT} ORDER BY session.number DESC`).all();
    for (const row of rows) if (isOver(row, nowMs)) this.end(row.number);
    return rows
      .filter((row) => !isOver(row, nowMs))
      .map((row) => ({
        session: row.number,
        person: row.person,
        name: row.name,
        role: row.role,
        provedAtMs: row.proved_at_ms,
        madeAtMs: row.made_at_ms,
        seenAtMs: row.seen_at_ms,
        address: row.address,
      }));
  }

  /** Whether there was one. */
  end(session: number): boolean {
    return this.#db.prepare('DELETE FROM session WHERE number = ?').run(session).changes > 0;
  }

  endAllOf(person: number): void {
    this.#db.prepare('DELETE FROM session WHERE person = ?').run(person);
  }
}

/** A session from what is the future by now is not trusted either. */
function isOver({ made_at_ms, seen_at_ms }: Kept, nowMs: number): boolean {
  return (
    nowMs - seen_at_ms >= IDLE_MS || nowMs - made_at_ms >= LIFE_MS || made_at_ms > nowMs + LIFE_MS
  );
}

const hashOf = (token: string): string => createHash('sha256').update(token).digest('hex');
