/**
 * Makes a record of alerts whole again: events from the journal that it has lost, alerts from their
 * events, and a mark for every number that is gone for good.
 */
import type { Database } from 'better-sqlite3';
import type { AlertEvent } from '../../rules/alerts/alert.ts';
import { addMissingLinks } from './event-chain.ts';
import type { EventJournal } from './event-journal.ts';

export interface Repair {
  /** Events that came back from the journal. */
  recovered: number;
  /** Events whose numbers were given out and that are in neither. */
  missing: number;
}

/** Events between two looks at the journal. */
const BATCH = 1000;

/** Compares the ends of both and brings whichever is behind up to the other. */
export function catchUp(db: Database, journal: EventJournal, nowMs: number): Repair {
  const inRecord = lastSeq(db);
  const inJournal = journal.lastSeq();
  if (inJournal > inRecord) return repair(db, journal, nowMs);
  writeJournal(db, journal, inJournal);
  return { recovered: 0, missing: 0 };
}

/** For a record that was salvaged row by row: anything may be missing from it. */
export function repair(db: Database, journal: EventJournal, nowMs: number): Repair {
  const events = journal.events();
  return db
    .transaction(() => {
      const recovered = addEvents(db, events);
      addMissingLinks(db);
      db.exec(ALERTS_FROM_EVENTS);
      return { recovered, missing: markMissing(db, nowMs) };
    })
    .immediate();
}

/** Lost numbers count: their events will not come any more. */
function lastSeq(db: Database): number {
  const last = db
    .prepare<[], number>(
      `SELECT max(coalesce((SELECT max(seq) FROM alert_event), 0),
                  coalesce((SELECT max(last_seq) FROM lost_alert_events), 0))`,
    )
    .pluck()
    .get();
  return last ?? 0;
}

/** Brings the journal up to the record. Throws what the file system says. */
function writeJournal(db: Database, journal: EventJournal, afterSeq: number): void {
  const next = db.prepare<[number, number], EventRow>(
    `SELECT seq, at_ms AS atMs, alert_id AS alertId, type, actor, alert_json AS alertJson
     FROM alert_event WHERE seq > ? ORDER BY seq LIMIT ?`,
  );
  let after = afterSeq;
  for (;;) {
    const rows = next.all(after, BATCH);
    journal.append(rows.flatMap(eventOf));
    const last = rows.at(-1);
    if (last === undefined) return;
    after = last.seq;
  }
}

interface EventRow extends Omit<AlertEvent, 'alert'> {
  alertJson: string;
}

function eventOf({ alertJson, ...row }: EventRow): AlertEvent[] {
  try {
    return [{ ...row, alert: JSON.parse(alertJson) }];
  } catch {
    // The disk has changed it; the record counts such rows when they are read.
    return [];
  }
}

function addEvents(db: Database, events: readonly AlertEvent[]): number {
  const add = db.prepare(
    `INSERT OR IGNORE INTO alert_event (seq, at_ms, alert_id, type, actor, alert_json)
     VALUES (?, ?, ?, ?, ?, ?)`,
  );
  let added = 0;
  for (const { seq, atMs, alertId, type, actor, alert } of events) {
    added += add.run(seq, atMs, alertId, type, actor, JSON.stringify(alert)).changes;
  }
  return added;
}

/** An alert stands as its last event left it. */
const ALERTS_FROM_EVENTS = `
  INSERT INTO alert (id, is_open, raised_at_ms, alert_json)
  SELECT alert_id, alert_json ->> '$.phase' <> 'closed', alert_json ->> '$.raisedAtMs', alert_json
  FROM alert_event AS newest
  WHERE json_valid(alert_json)
    AND seq = (SELECT max(seq) FROM alert_event WHERE alert_id = newest.alert_id)
  ON CONFLICT (id) DO UPDATE SET is_open = excluded.is_open,
    raised_at_ms = excluded.raised_at_ms, alert_json = excluded.alert_json;
`;

/** How many numbers are in neither the record nor its marks; leaves marks for them. */
function markMissing(db: Database, nowMs: number): number {
  const holes = db
    .prepare<[], { firstSeq: number; lastSeq: number }>(
      `WITH known (first_seq, last_seq) AS (
         SELECT seq, seq FROM alert_event
         UNION ALL SELECT first_seq, last_seq FROM lost_alert_events),
       ordered AS (
         SELECT first_seq, max(last_seq) OVER (
           ORDER BY first_seq ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING) AS before
         FROM known)
       SELECT coalesce(before, 0) + 1 AS firstSeq, first_seq - 1 AS lastSeq
       FROM ordered WHERE first_seq > coalesce(before, 0) + 1`,
    )
    .all();
  const mark = db.prepare(
    'INSERT INTO lost_alert_events (first_seq, last_seq, noted_at_ms, why) VALUES (?, ?, ?, ?)',
  );
  for (const { firstSeq, lastSeq: last } of holes) {
    mark.run(firstSeq, last, nowMs, 'the disk has lost them');
  }
  return holes.reduce((sum, hole) => sum + hole.lastSeq - hole.firstSeq + 1, 0);
}
