/**
 * The audit trail: who did what, when and from where. Rows are only added (triggers of the file see
 * to it), and each carries a hash over itself and the one before, so that a row that was changed or
 * taken out by other means is found. Whoever can write the file can make a whole new chain: note the
 * newest hash elsewhere to find that too.
 */
import type { Database } from 'better-sqlite3';
import { createHash } from 'node:crypto';

/** Never a password, a token or a code. */
export interface AuditNote {
  /** The person, `local screen`, `command line`, or nobody (empty). */
  who: string;
  role: string;
  address: string;
  act: string;
  /** What it was done to. */
  object: string;
  outcome: string;
}

/** Who does something, and from where. */
export type Actor = Pick<AuditNote, 'who' | 'role' | 'address'>;

export interface AuditRow extends AuditNote {
  seq: number;
  /** UTC as the computer had it, ms. */
  wallMs: number;
  /** The daemon's clock, ms. */
  clockMs: number;
  hash: string;
}

export interface AuditVerdict {
  rows: number;
  /** Hash of the newest row; empty where there is none. */
  newestHash: string;
  /** What is wrong, in one sentence; null: the chain is whole. */
  problem: string | null;
}

const LONGEST_TEXT = 256;

interface Kept {
  seq: number;
  wall_ms: number;
  clock_ms: number;
  who: string;
  role: string;
  address: string;
  act: string;
  object: string;
  outcome: string;
  previous_hash: string;
  hash: string;
}

export class Audit {
  readonly #db: Database;
  readonly #now: () => { wallMs: number; clockMs: number };

  constructor(db: Database, now: () => { wallMs: number; clockMs: number }) {
    this.#db = db;
    this.#now = now;
  }

  /** On the disk when it returns. */
  add(note: AuditNote): void {
    const { wallMs, clockMs } = this.#now();
    const texts = [note.who, note.role, note.address, note.act, note.object, note.outcome];
    const shown = texts.map((text) => plain(text));
    this.#db
      .transaction(() => {
        const last = this.#last();
        const seq = Math.max(last?.seq ?? 0, this.#givenOut()) + 1;
        const previous = last?.hash ?? '';
        const hash = hashOf([seq, wallMs, clockMs, ...shown], previous);
        this.#db
          .prepare('INSERT INTO audit VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)')
          .run(seq, wallMs, clockMs, ...shown, previous, hash);
      })
      .immediate();
  }

  /** Newest first, all older than `beforeSeq` where it is given. */
  list(limit: number, beforeSeq = Number.MAX_SAFE_INTEGER): AuditRow[] {
    const rows = this.#db
      .prepare<[number, number], Kept>(
        'SELECT * FROM audit WHERE seq < ? ORDER BY seq DESC LIMIT ?',
      )
      .all(beforeSeq, limit);
    return rows.map(
      ({ seq, wall_ms, clock_ms, who, role, address, act, object, outcome, hash }) => ({
        seq,
        wallMs: wall_ms,
        clockMs: clock_ms,
        who,
        role,
        address,
        act,
        object,
        outcome,
        hash,
      }),
    );
  }

  /** Goes through the whole chain. */
  check(): AuditVerdict {
    let [rows, previous] = [0, ''];
    for (const row of this.#db.prepare<[], Kept>('SELECT * FROM audit ORDER BY seq').iterate()) {
      rows += 1;
      const problem = problemOf(row, rows, previous);
      if (problem !== null) return { rows, newestHash: previous, problem };
      previous = row.hash;
    }
    const given = this.#givenOut();
    if (given === rows) return { rows, newestHash: previous, problem: null };
    const problem = `${given} entries were made, but only ${rows} are there: the newest were taken out.`;
    return { rows, newestHash: previous, problem };
  }

  #last(): Kept | undefined {
    return this.#db.prepare<[], Kept>('SELECT * FROM audit ORDER BY seq DESC LIMIT 1').get();
  }

  /** The highest number that was ever given out; SQLite keeps it apart. */
  #givenOut(): number {
    const kept = this.#db
      .prepare("SELECT seq FROM sqlite_sequence WHERE name = 'audit'")
      .pluck()
      .get();
    return typeof kept === 'number' ? kept : 0;
  }
}

function problemOf(row: Kept, place: number, previous: string): string | null {
  if (row.seq !== place) return `Entry ${place} is missing.`;
  const { wall_ms, clock_ms, who, role, address, act, object, outcome } = row;
  if (row.previous_hash !== previous) return `Entry ${place} does not follow the one before it.`;
  const fields = [row.seq, wall_ms, clock_ms, who, role, address, act, object, outcome];
  return hashOf(fields, previous) === row.hash ? null : `Entry ${place} was changed.`;
}

function hashOf(fields: readonly (string | number)[], previous: string): string {
  return createHash('sha256')
    .update(JSON.stringify([previous, ...fields]))
    .digest('hex');
}

/** One line without control characters, and not too long: names and addresses come from outside. */
function plain(text: string): string {
  const clean = text.replaceAll(/[\p{Cc}\p{Cf}\u2028\u2029]/gu, '?');
  return clean.length <= LONGEST_TEXT ? clean : `${clean.slice(0, LONGEST_TEXT - 1)}…`;
}
