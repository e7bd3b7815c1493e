/**
 * What the rules remember, as it was saved last, in `alerts.db`: the first of its two copies (the
 * other is in watch-copy.ts). A checksum finds what SQLite does not: a text that has changed.
 */
import type { Database, Statement } from 'better-sqlite3';
import { crc32 } from 'node:zlib';
import type { SavedWatch } from '../../rules/watch.ts';

/** A saved watch; of two copies the one with the larger number is the newer. */
export interface NumberedWatch {
  number: number;
  watch: SavedWatch;
}

interface Row {
  number: number;
  watch_json: string;
  /** Null where an older version saved it. */
  crc: number | null;
}

export class WatchRow {
  readonly #get: Statement<[], Row>;
  readonly #set: Statement<[number, string, number, number]>;

  constructor(db: Database) {
    this.#get = db.prepare('SELECT number, watch_json, crc FROM saved_watch');
    this.#set = db.prepare(
      `INSERT INTO saved_watch (one, at_ms, watch_json, number, crc) VALUES (1, ?, ?, ?, ?)
       ON CONFLICT (one) DO UPDATE SET at_ms = excluded.at_ms, watch_json = excluded.watch_json,
         number = excluded.number, crc = excluded.crc`,
    );
  }

  set({ number, watch }: NumberedWatch): void {
    const text = JSON.stringify(watch);
    this.#set.run(watch.atMs, text, number, checksumOf(number, text));
  }

  /** Null in a new record. */
  get(): NumberedWatch | 'damaged' | null {
    const row = this.#get.get();
    return row === undefined ? null : readWatch(row);
  }
}

/** Whether a row of `saved_watch`, of any version of the table, is as it was written. */
export function isSoundWatchRow(row: Readonly<Record<string, unknown>>): boolean {
  const { watch_json: text, number = 0, crc = null } = row;
  if (typeof text !== 'string' || typeof number !== 'number') return false;
  if (crc !== null && typeof crc !== 'number') return false;
  return readWatch({ number, watch_json: text, crc }) !== 'damaged';
}

function readWatch({ number, watch_json: text, crc }: Row): NumberedWatch | 'damaged' {
  if (crc !== null && crc !== checksumOf(number, text)) return 'damaged';
  const watch = parsedWatch(text);
  return watch === null ? 'damaged' : { number, watch };
}

/** Of the number too: a larger one would make an old copy look new. */
export function checksumOf(number: number, text: string): number {
  return crc32(`${number} ${text}`);
}

/** The watch that a text holds, of any version of it; null if it holds none. */
export function parsedWatch(text: string): SavedWatch | null {
  try {
    const saved: unknown = JSON.parse(text);
    return isSavedWatch(saved) ? saved : null;
  } catch {
    return null;
  }
}

function isSavedWatch(saved: unknown): saved is SavedWatch {
  return (
    typeof saved === 'object' &&
    saved !== null &&
    'version' in saved &&
    typeof saved.version === 'number' &&
    'atMs' in saved &&
    typeof saved.atMs === 'number'
  );
}
