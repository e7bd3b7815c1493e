/**
 * Alert events hang together: each carries a digest of itself and of the one before it. A row that has
 * changed, or was put in the place of another, no longer fits, which neither SQLite nor the numbers
 * would notice.
 */
import type { Database } from 'better-sqlite3';
import { createHash } from 'node:crypto';

export interface ChainedRow {
  seq: number;
  at_ms: number;
  alert_id: string;
  type: string;
  actor: string;
  alert_json: string;
}

/** SHA-256, hex. `before`: of the event before; null where that is not known. */
export function linkOf(before: string | null, row: ChainedRow): string {
  const { seq, at_ms, alert_id, type, actor, alert_json } = row;
  const text = JSON.stringify([before ?? '', seq, at_ms, alert_id, type, actor, alert_json]);
  return createHash('sha256').update(text).digest('hex');
}

type Linked = ChainedRow & { link: string | null };

const ROWS = `SELECT seq, at_ms, alert_id, type, actor, alert_json, link FROM alert_event`;

/**
 * Gives its link to every event that has none, such as those that came back from the journal; but not
 * where the one after it was linked without it, as the first after an update was.
 */
export function addMissingLinks(db: Database): void {
  const linkAt = db
    .prepare<[number], string | null>('SELECT link FROM alert_event WHERE seq = ?')
    .pluck();
  const rowAt = db.prepare<[number], Linked>(`${ROWS} WHERE seq = ?`);
  const set = db.prepare<[string, number]>('UPDATE alert_event SET link = ? WHERE seq = ?');
  for (const row of db.prepare<[], Linked>(`${ROWS} WHERE link IS NULL ORDER BY seq`).all()) {
    const link = linkOf(linkAt.get(row.seq - 1) ?? null, row);
    const next = rowAt.get(row.seq + 1);
    const isTied = next?.link !== undefined && next.link !== null;
    if (!isTied || next.link === linkOf(link, next)) set.run(link, row.seq);
  }
}

/**
 * Numbers of the events that do not fit to the one before them. An event whose predecessor is lost
 * cannot be judged.
 */
export function brokenLinks(db: Database): number[] {
  const broken: number[] = [];
  let before: Linked | null = null;
  for (const row of db.prepare<[], Linked>(`${ROWS} ORDER BY seq`).iterate()) {
    const isFirst = row.seq === 1;
    const follows = before?.seq === row.seq - 1;
    if (row.link !== null && (isFirst || follows)) {
      if (row.link !== linkOf(isFirst ? null : (before?.link ?? null), row)) broken.push(row.seq);
    }
    before = row;
  }
  return broken;
}
