/** Letters and what was remembered of who has been told what, in `alerts.db`. Throws what SQLite throws. */
import type { Database, Statement } from 'better-sqlite3';
import { PRIORITIES } from '../../rules/index.ts';
import type { Letter, SavedTelling } from '../../rules/index.ts';
import type {
  LetterMark,
  PushChange,
  PushSubscriptionRow,
  WaitingLetter,
  WayRecord,
} from './letters.ts';

/** Rows of letters that are over are kept for so many numbers back. */
const ROWS_KEPT = 5000;

interface Row {
  letter_json: string;
  attempts: number;
  next_try_at_ms: number;
  problem: string | null;
}

export class LetterTable {
  readonly #add: Statement<[Record<string, unknown>]>;
  readonly #forgetOld: Statement<[number]>;
  readonly #withdraw: Statement<[number, string]>;
  readonly #end: Statement<[LetterMark]>;
  readonly #waiting: Statement<[], Row>;
  readonly #has: Statement<[string], number>;
  readonly #ways: Statement<[], WayRecord>;
  readonly #setTelling: Statement<[string]>;
  readonly #telling: Statement<[], string>;
  readonly #setPush: Statement<[string, string]>;
  readonly #dropPush: Statement<[string]>;
  readonly #push: Statement<[], string>;
  /** Rows left out of an answer because the disk has changed what they say. */
  unreadable = 0;

  constructor(db: Database) {
    this.#add = db.prepare(
      `INSERT OR IGNORE INTO letter
         (key, state, way, contact, alert_id, priority, next_try_at_ms, letter_json)
       VALUES (@key, 'waiting', @way, @contact, @alertId, @priority, @dueAtMs, @json)`,
    );
    this.#forgetOld = db.prepare(
      `DELETE FROM letter WHERE state <> 'waiting'
         AND number <= (SELECT max(number) FROM letter) - ?`,
    );
    this.#withdraw = db.prepare(
      `UPDATE letter SET state = 'withdrawn', ended_at_ms = ? WHERE key = ? AND state = 'waiting'`,
    );
    // What has been sent has been sent, whatever was decided meanwhile.
    this.#end = db.prepare(
      `UPDATE letter SET state = @state, attempts = @attempts, next_try_at_ms = @nextTryAtMs,
         tried_at_ms = CASE WHEN @attempts > attempts THEN @atMs ELSE tried_at_ms END,
         ended_at_ms = CASE @state WHEN 'waiting' THEN NULL ELSE @atMs END,
         problem = @problem, answer = @answer
       WHERE key = @key AND (state = 'waiting' OR @state = 'sent')`,
    );
    this.#waiting = db.prepare(
      `SELECT letter_json, attempts, next_try_at_ms, problem FROM letter
       WHERE state = 'waiting' ORDER BY number`,
    );
    this.#has = db.prepare<[string], number>('SELECT 1 FROM letter WHERE key = ?').pluck();
    this.#ways = db.prepare(WAYS_SQL);
    this.#setTelling = db.prepare(
      `INSERT INTO saved_telling (one, telling_json) VALUES (1, ?)
       ON CONFLICT (one) DO UPDATE SET telling_json = excluded.telling_json`,
    );
    this.#telling = db.prepare<[], string>('SELECT telling_json FROM saved_telling').pluck();
    this.#setPush = db.prepare(
      `INSERT INTO push_subscription (endpoint, subscription_json) VALUES (?, ?)
       ON CONFLICT (endpoint) DO UPDATE SET subscription_json = excluded.subscription_json`,
    );
    this.#dropPush = db.prepare('DELETE FROM push_subscription WHERE endpoint = ?');
    this.#push = db
      .prepare<[], string>('SELECT subscription_json FROM push_subscription ORDER BY number')
      .pluck();
  }

  /** A letter whose key is known already is left as it is. */
  add(letters: readonly Letter[]): void {
    for (const letter of letters) {
      const { key, way, contact, alertId, dueAtMs } = letter;
      const json = JSON.stringify(letter);
      const priority = PRIORITIES.indexOf(letter.priority);
      this.#add.run({ key, way, contact, alertId, priority, dueAtMs, json });
    }
    if (letters.length > 0) this.#forgetOld.run(ROWS_KEPT);
  }

  /** Those that have gone already stay as they are. */
  withdraw(keys: readonly string[], atMs: number): void {
    for (const key of keys) this.#withdraw.run(atMs, key);
  }

  mark(marks: readonly LetterMark[]): void {
    for (const mark of marks) this.#end.run(mark);
  }

  has(key: string): boolean {
    return this.#has.get(key) !== undefined;
  }

  /** In the order in which they were written. */
  waiting(): WaitingLetter[] {
    return this.#waiting.all().flatMap((row) => {
      const letter = this.#parsed(row.letter_json);
      const { attempts, next_try_at_ms: nextTryAtMs, problem } = row;
      return isLetter(letter) ? [{ letter, attempts, nextTryAtMs, problem }] : [];
    });
  }

  /** Every way that any letter was for. */
  ways(): WayRecord[] {
    return this.#ways.all();
  }

  setTelling(saved: SavedTelling): void {
    this.#setTelling.run(JSON.stringify(saved));
  }

  /** As it was saved last; null where nothing is or where it cannot be read. */
  telling(): SavedTelling | null {
    const text = this.#telling.get();
    const saved = text === undefined ? null : this.#parsed(text);
    return isSavedTelling(saved) ? saved : null;
  }

  changePush(changes: readonly PushChange[]): void {
    for (const { endpoint, subscription } of changes) {
      if (subscription === null) this.#dropPush.run(endpoint);
      else this.#setPush.run(endpoint, JSON.stringify(subscription));
    }
  }

  push(): PushSubscriptionRow[] {
    return this.#push.all().flatMap((text) => {
      const subscription = this.#parsed(text);
      return isSubscription(subscription) ? [subscription] : [];
    });
  }

  #parsed(text: string): unknown {
    try {
      return JSON.parse(text);
    } catch {
      this.unreadable += 1;
      return null;
    }
  }
}

/** Whether a row of these tables says what was once written. */
export function isSoundLetterRow(row: Readonly<Record<string, unknown>>): boolean {
  const { letter_json: text, key } = row;
  if (typeof text !== 'string') return false;
  try {
    const letter: unknown = JSON.parse(text);
    return isLetter(letter) && letter.key === key;
  } catch {
    return false;
  }
}

/** We wrote it ourselves: enough is looked at to know a damaged one. */
function isLetter(value: unknown): value is Letter {
  return typeof value === 'object' && value !== null && 'key' in value && 'way' in value;
}

function isSavedTelling(value: unknown): value is SavedTelling {
  return (
    typeof value === 'object' &&
    value !== null &&
    'version' in value &&
    typeof value.version === 'number'
  );
}

function isSubscription(value: unknown): value is PushSubscriptionRow {
  return typeof value === 'object' && value !== null && 'endpoint' in value && 'keys' in value;
}

const WAYS_SQL = `
  SELECT way, sum(state = 'waiting') AS waiting, sum(state = 'given up') AS givenUp,
    max(CASE state WHEN 'sent' THEN ended_at_ms END) AS lastSentAtMs,
    (SELECT answer FROM letter AS own WHERE own.way = letter.way AND state = 'sent'
     ORDER BY ended_at_ms DESC, number DESC LIMIT 1) AS lastAnswer,
    max(tried_at_ms) AS lastTriedAtMs,
    (SELECT problem FROM letter AS own WHERE own.way = letter.way AND tried_at_ms IS NOT NULL
     ORDER BY tried_at_ms DESC, number DESC LIMIT 1) AS lastProblem
  FROM letter GROUP BY way ORDER BY way
`;
