/** What befell the panel (sources, feeds, what a person said) in `alerts.db`. Throws what SQLite throws. */
import type { Database, Statement } from 'better-sqlite3';
import type { PanelEvent } from '../../rules/watch.ts';

export interface PanelEventsQuery {
  /** First instant, ms. */
  from?: number;
  /** Instant after the last, ms. */
  to?: number;
  /** Events of the same instant are never parted, so it can be a few more. */
  limit: number;
}

const PANEL_EVENT = 'at_ms AS atMs, type, part, text, said_json AS saidJson, feed_json AS feedJson';
const IS_OF_SOURCES = "type IN ('source changed', 'source live', 'source dead')";

type PanelEventRow = Omit<PanelEvent, 'said' | 'feed'> & {
  saidJson: string | null;
  feedJson: string | null;
};

export class PanelEventTable {
  readonly #add: Statement<[number, string, string, string, string | null, string | null]>;
  readonly #has: Statement<[number, string, string, string], number>;
  readonly #between: Statement<[number, number, number, number, number], PanelEventRow>;
  readonly #ofSources: Statement<[number, number, number], PanelEventRow>;
  readonly #lastOfSources: Statement<[number], PanelEventRow>;
  /** Rows that lost a part of what they say because the disk has changed it. */
  unreadable = 0;

  constructor(db: Database) {
    this.#add = db.prepare(
      `INSERT INTO panel_event (at_ms, type, part, text, said_json, feed_json)
       VALUES (?, ?, ?, ?, ?, ?)`,
    );
    this.#has = db
      .prepare<[number, string, string, string], number>(
        'SELECT 1 FROM panel_event WHERE at_ms = ? AND type = ? AND part = ? AND text = ?',
      )
      .pluck();
    this.#between = db.prepare(
      `SELECT ${PANEL_EVENT} FROM panel_event
       WHERE at_ms >= ? AND at_ms < ? AND at_ms >= coalesce(
         (SELECT at_ms FROM panel_event WHERE at_ms >= ? AND at_ms < ?
          ORDER BY at_ms DESC LIMIT 1 OFFSET ?), 0)
       ORDER BY at_ms DESC, number DESC`,
    );
    this.#ofSources = db.prepare(
      `SELECT ${PANEL_EVENT} FROM panel_event
       WHERE at_ms >= ? AND at_ms < ? AND ${IS_OF_SOURCES} ORDER BY at_ms DESC, number DESC LIMIT ?`,
    );
    this.#lastOfSources = db.prepare(
      `SELECT ${PANEL_EVENT} FROM panel_event WHERE number IN (
         SELECT max(number) FROM panel_event WHERE at_ms < ? AND ${IS_OF_SOURCES}
         GROUP BY part, type = 'source changed') ORDER BY at_ms, number`,
    );
  }

  add({ atMs, type, part, text, said, feed }: PanelEvent): void {
    this.#add.run(atMs, type, part, text, jsonOrNull(said), jsonOrNull(feed));
  }

  /** Whether this very event is in the record already. */
  has({ atMs, type, part, text }: PanelEvent): boolean {
    return this.#has.get(atMs, type, part, text) !== undefined;
  }

  /** Newest first. */
  between({ from = 0, to = Number.MAX_VALUE, limit }: PanelEventsQuery): PanelEvent[] {
    return this.#between.all(from, to, from, to, limit - 1).map((row) => this.#eventOf(row));
  }

  /** Changes of sources in a stored span, newest first. */
  ofSources(fromMs: number, toMs: number, limit: number): PanelEvent[] {
    return this.#ofSources.all(fromMs, toMs, limit).map((row) => this.#eventOf(row));
  }

  /** Of each part the last change of its feed and the last of its voltage before a stored instant. */
  lastOfSources(beforeMs: number): PanelEvent[] {
    return this.#lastOfSources.all(beforeMs).map((row) => this.#eventOf(row));
  }

  #eventOf({ saidJson, feedJson, ...event }: PanelEventRow): PanelEvent {
    try {
      const said: Exclude<PanelEvent['said'], undefined> | null = JSON.parse(saidJson ?? 'null');
      const feed: Exclude<PanelEvent['feed'], undefined> | null = JSON.parse(feedJson ?? 'null');
      return { ...event, ...(said && { said }), ...(feed && { feed }) };
    } catch {
      this.unreadable += 1;
      return event;
    }
  }
}

const jsonOrNull = (value: object | undefined): string | null =>
  value === undefined ? null : JSON.stringify(value);
