/** Who is known to this boat, under which role. Passwords come and go as PHC strings only. */
import type { Database } from 'better-sqlite3';
import type { Role } from '../roles.ts';

export interface Person {
  number: number;
  name: string;
  role: Role;
  madeAtMs: number;
}

interface Kept {
  number: number;
  name: string;
  role: Role;
  password: string;
  made_at_ms: number;
}

export const LONGEST_NAME = 60;
/** A boat has a crew, not a town. */
export const PERSONS_MAX = 100;

/** Why it cannot be a name; null: it can. */
export function objectionToName(name: string): string | null {
  const length = Array.from(name.trim()).length;
  if (length === 0) return 'A name is needed.';
  if (length > LONGEST_NAME) return `A name has at most ${LONGEST_NAME} characters.`;
  return /[\p{Cc}\p{Cf}]/u.test(name) ? 'A name has no control characters.' : null;
}

/** Names are the same in capitals and small letters, and however their accents were typed. */
export function nameKeyOf(name: string): string {
  return name.trim().normalize('NFKC').toLowerCase();
}

export class Persons {
  readonly #db: Database;

  constructor(db: Database) {
    this.#db = db;
  }

  get count(): number {
    return Number(this.#db.prepare('SELECT count(*) FROM person').pluck().get());
  }

  get technicians(): number {
    const count = this.#db.prepare("SELECT count(*) FROM person WHERE role = 'technician'");
    return Number(count.pluck().get());
  }

  /** In order of their names. */
  list(): Person[] {
    return this.#db.prepare<[], Kept>('SELECT * FROM person ORDER BY key').all().map(personOf);
  }

  byNumber(number: number): Person | null {
    const kept = this.#db
      .prepare<[number], Kept>('SELECT * FROM person WHERE number = ?')
      .get(number);
    return kept === undefined ? null : personOf(kept);
  }

  /** With the PHC string of the password. */
  byName(name: string): (Person & { password: string }) | null {
    const kept = this.#db
      .prepare<[string], Kept>('SELECT * FROM person WHERE key = ?')
      .get(nameKeyOf(name));
    return kept === undefined ? null : { ...personOf(kept), password: kept.password };
  }

  /** The name must not be taken. */
  add(name: string, role: Role, password: string, nowMs: number): Person {
    const { lastInsertRowid } = this.#db
      .prepare('INSERT INTO person (name, key, role, password, made_at_ms) VALUES (?, ?, ?, ?, ?)')
      .run(name.trim(), nameKeyOf(name), role, password, nowMs);
    return { number: Number(lastInsertRowid), name: name.trim(), role, madeAtMs: nowMs };
  }

  /** Their sessions go with them. */
  remove(number: number): void {
    this.#db.prepare('DELETE FROM person WHERE number = ?').run(number);
  }

  setRole(number: number, role: Role): void {
    this.#db.prepare('UPDATE person SET role = ? WHERE number = ?').run(role, number);
  }

  setPassword(number: number, password: string): void {
    this.#db.prepare('UPDATE person SET password = ? WHERE number = ?').run(password, number);
  }
}

function personOf({ number, name, role, made_at_ms: madeAtMs }: Kept): Person {
  return { number, name, role, madeAtMs };
}
