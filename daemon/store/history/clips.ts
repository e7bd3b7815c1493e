/** Spans whose readings are never deleted: around every alert and every change of source. */
import type { Database, Statement } from 'better-sqlite3';

export const CLIP_BEFORE_MS = 60_000;
export const CLIP_AFTER_MS = 120_000;

/** Something that a person may want to see in full detail for ever. Stored instants. */
export interface Happening {
  atMs: number;
  about: string;
}

export function addClips(db: Database, happenings: readonly Happening[]): void {
  if (happenings.length === 0) return;
  const add = db.prepare<[number, string, number, number]>(
    'INSERT OR IGNORE INTO clip (at_ms, about, from_ms, to_ms) VALUES (?, ?, ?, ?)',
  );
  db.transaction(() => {
    for (const { atMs, about } of happenings) {
      add.run(atMs, about, Math.floor(atMs - CLIP_BEFORE_MS), Math.ceil(atMs + CLIP_AFTER_MS));
    }
  }).immediate();
}

/** Merged spans of the clips that touch `fromMs` to `toMs`, in order, cut to it. */
export class ClipSpans {
  readonly #touching: Statement<[number, number], [number, number]>;

  constructor(db: Database) {
    this.#touching = db
      .prepare<[number, number], [number, number]>(
        'SELECT from_ms, to_ms FROM clip WHERE to_ms > ? AND from_ms < ? ORDER BY from_ms',
      )
      .raw();
  }

  within(fromMs: number, toMs: number): [fromMs: number, toMs: number][] {
    const spans: [number, number][] = [];
    for (const [clipFrom, clipTo] of this.#touching.all(fromMs, toMs)) {
      const [from, to] = [Math.max(clipFrom, fromMs), Math.min(clipTo, toMs)];
      const last = spans.at(-1);
      if (last !== undefined && from <= last[1]) last[1] = Math.max(last[1], to);
      else spans.push([from, to]);
    }
    return spans;
  }
}
