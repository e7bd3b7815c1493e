/**
 * The record of alerts in `alerts.db`: what is written in one transaction, and what is read back.
 * Knows nothing of retries or broken files; every method throws what SQLite throws.
 */
import type { Database, Statement } from 'better-sqlite3';
import type { Alert, AlertEvent } from '../../rules/alerts/alert.ts';
import type { PanelEvent, SavedWatch } from '../../rules/watch.ts';
import type { Boot } from './time-axis.ts';

export interface CommitBatch {
  /** In order; the first continues the record's last number by one. */
  alertEvents: readonly AlertEvent[];
  panelEvents: readonly PanelEvent[];
  /** The watch as it is after these events. */
  savedWatch?: SavedWatch;
  /** New or put right; each takes the place of the one of its number. */
  boots?: readonly Boot[];
}

export interface AlertsQuery {
  /** `past`: closed. `open`: not closed yet. */
  phase: 'open' | 'past' | 'all';
  /** Alerts that were raised at the same instant are never parted, so it can be a few more. */
  limit: number;
  /** Only alerts raised before this instant, ms. */
  before?: number;
}

export interface PanelEventsQuery {
  /** First instant, ms. */
  from?: number;
  /** Instant after the last, ms. */
  to?: number;
  /** Events of the same instant are never parted, so it can be a few more. */
  limit: number;
}

/** Numbers of alert events that never reached the file. */
export interface LostEvents {
  firstSeq: number;
  lastSeq: number;
  notedAtMs: number;
  why: string;
}

/** One alert's events given back at most; an alert that flaps for weeks has more. */
const EVENTS_MAX = 1000;

const PHASES = { open: 'is_open = 1', past: 'is_open = 0', all: 'TRUE' } as const;

const PANEL_EVENT = 'at_ms AS atMs, type, part, text, said_json AS saidJson, feed_json AS feedJson';
const IS_OF_SOURCES = "type IN ('source changed', 'source live', 'source dead')";

interface EventRow {
  seq: number;
  at_ms: number;
  alert_id: string;
  type: AlertEvent['type'];
  actor: string;
  alert_json: string;
}

type PanelEventRow = Omit<PanelEvent, 'said' | 'feed'> & {
  saidJson: string | null;
  feedJson: string | null;
};

export class AlertRecord {
  readonly #lastSeq: Statement<[], number>;
  readonly #addEvent: Statement<[number, number, string, string, string, string]>;
  readonly #setAlert: Statement<[string, number, number, string]>;
  readonly #addPanelEvent: Statement<
    [number, string, string, string, string | null, string | null]
  >;
  readonly #hasPanelEvent: Statement<[number, string, string, string], number>;
  readonly #setWatch: Statement<[number, string]>;
  readonly #setBoot: Statement<[Boot]>;
  readonly #boots: Statement<[], Boot>;
  readonly #addLost: Statement<[number, number, number, string]>;
  readonly #watch: Statement<[], string>;
  readonly #alert: Statement<[string], string>;
  readonly #alerts: Record<AlertsQuery['phase'], Statement<[number, number, number], string>>;
  readonly #eventsOf: Statement<[string, number], EventRow>;
  readonly #eventsBetween: Statement<[number, number], EventRow>;
  readonly #panelEvents: Statement<[number, number, number, number, number], PanelEventRow>;
  readonly #overlapping: Statement<[number, number, number, number], [string, number | null]>;
  readonly #sourceEvents: Statement<[number, number, number], PanelEventRow>;
  readonly #lastSourceEvents: Statement<[number], PanelEventRow>;
  readonly #write: (batch: CommitBatch, lost: LostEvents | null) => void;
  /** Rows left out of an answer because the disk has changed what they say. */
  unreadable = 0;

  constructor(db: Database) {
    this.#lastSeq = db
      .prepare<[], number>(
        `SELECT max(coalesce((SELECT max(seq) FROM alert_event), 0),
                    coalesce((SELECT max(last_seq) FROM lost_alert_events), 0))`,
      )
      .pluck();
    this.#addEvent = db.prepare(
      `INSERT INTO alert_event (seq, at_ms, alert_id, type, actor, alert_json)
       VALUES (?, ?, ?, ?, ?, ?)`,
    );
    this.#setAlert = db.prepare(
      `INSERT INTO alert (id, is_open, raised_at_ms, alert_json) VALUES (?, ?, ?, ?)
       ON CONFLICT (id) DO UPDATE SET is_open = excluded.is_open,
         raised_at_ms = excluded.raised_at_ms, alert_json = excluded.alert_json`,
    );
    this.#addPanelEvent = db.prepare(
      `INSERT INTO panel_event (at_ms, type, part, text, said_json, feed_json)
       VALUES (?, ?, ?, ?, ?, ?)`,
    );
    this.#hasPanelEvent = db
      .prepare<[number, string, string, string], number>(
        'SELECT 1 FROM panel_event WHERE at_ms = ? AND type = ? AND part = ? AND text = ?',
      )
      .pluck();
    this.#setWatch = db.prepare(
      `INSERT INTO saved_watch (one, at_ms, watch_json) VALUES (1, ?, ?)
       ON CONFLICT (one) DO UPDATE SET at_ms = excluded.at_ms, watch_json = excluded.watch_json`,
    );
    this.#setBoot = db.prepare(
      `INSERT OR REPLACE INTO boot (number, starts_at_ms, offset_ms, quality, machine_run)
       VALUES (@number, @startsAtMs, @offsetMs, @quality, @machineRun)`,
    );
    this.#boots = db.prepare(
      `SELECT number, starts_at_ms AS startsAtMs, offset_ms AS offsetMs, quality,
         machine_run AS machineRun
       FROM boot ORDER BY starts_at_ms, number`,
    );
    this.#addLost = db.prepare(
      `INSERT INTO lost_alert_events (first_seq, last_seq, noted_at_ms, why) VALUES (?, ?, ?, ?)`,
    );
    this.#watch = db.prepare<[], string>('SELECT watch_json FROM saved_watch').pluck();
    this.#alert = db.prepare<[string], string>('SELECT alert_json FROM alert WHERE id = ?').pluck();
    this.#alerts = {
      open: prepareAlerts(db, 'open'),
      past: prepareAlerts(db, 'past'),
      all: prepareAlerts(db, 'all'),
    };
    this.#eventsOf = db.prepare(
      'SELECT * FROM alert_event WHERE alert_id = ? ORDER BY seq DESC LIMIT ?',
    );
    this.#eventsBetween = db.prepare(
      'SELECT * FROM alert_event WHERE at_ms >= ? AND at_ms < ? ORDER BY seq',
    );
    this.#panelEvents = db.prepare(
      `SELECT ${PANEL_EVENT} FROM panel_event
       WHERE at_ms >= ? AND at_ms < ? AND at_ms >= coalesce(
         (SELECT at_ms FROM panel_event WHERE at_ms >= ? AND at_ms < ?
          ORDER BY at_ms DESC LIMIT 1 OFFSET ?), 0)
       ORDER BY at_ms DESC, number DESC`,
    );
    this.#overlapping = db
      .prepare<[number, number, number, number], [string, number | null]>(
        `SELECT alert_json, last_ms FROM (
           SELECT id, is_open, raised_at_ms, alert_json,
             (SELECT max(at_ms) FROM alert_event WHERE alert_id = alert.id) AS last_ms
           FROM alert WHERE raised_at_ms < ?)
         WHERE is_open OR raised_at_ms >= ? OR last_ms >= ?
         ORDER BY raised_at_ms DESC, id DESC LIMIT ?`,
      )
      .raw();
    this.#sourceEvents = db.prepare(
      `SELECT ${PANEL_EVENT} FROM panel_event
       WHERE at_ms >= ? AND at_ms < ? AND ${IS_OF_SOURCES} ORDER BY at_ms DESC, number DESC LIMIT ?`,
    );
    this.#lastSourceEvents = db.prepare(
      `SELECT ${PANEL_EVENT} FROM panel_event WHERE number IN (
         SELECT max(number) FROM panel_event WHERE at_ms < ? AND ${IS_OF_SOURCES}
         GROUP BY part, type = 'source changed') ORDER BY at_ms, number`,
    );
    const transaction = db.transaction((batch: CommitBatch, lost: LostEvents | null) =>
      this.#writeAll(batch, lost),
    );
    this.#write = (batch, lost) => transaction.immediate(batch, lost);
  }

  /** Number of the last alert event, lost ones counted; 0 in a new record. */
  lastSeq(): number {
    return this.#lastSeq.get() ?? 0;
  }

  /**
   * Writes all of it in one transaction and returns once it is on the disk. Throws, and writes
   * nothing, if an event's number is not the last one plus one.
   */
  write(batch: CommitBatch, lost: LostEvents | null): void {
    this.#write(batch, lost);
  }

  loadWatch(): SavedWatch | null {
    const text = this.#watch.get();
    if (text === undefined) return null;
    const saved: unknown = JSON.parse(text);
    if (!isSavedWatch(saved)) throw new SyntaxError('this is no saved watch');
    return saved;
  }

  /** Whether this very event is in the record already. */
  hasPanelEvent({ atMs, type, part, text }: PanelEvent): boolean {
    return this.#hasPanelEvent.get(atMs, type, part, text) !== undefined;
  }

  /** In order of their start. */
  boots(): Boot[] {
    return this.#boots.all();
  }

  alert(id: string): Alert | null {
    const text = this.#alert.get(id);
    return text === undefined ? null : this.#alertOf(text);
  }

  /** Newest raised first; rows that cannot be read are left out and counted. */
  alerts({ phase, limit, before = Number.MAX_VALUE }: AlertsQuery): Alert[] {
    const texts = this.#alerts[phase].all(before, before, limit - 1);
    return texts.flatMap((text) => this.#alertOf(text) ?? []);
  }

  /** Oldest first; of more than a thousand the newest thousand. */
  alertEvents(alertId: string): AlertEvent[] {
    return this.#eventsOf
      .all(alertId, EVENTS_MAX)
      .flatMap((row) => this.#eventOf(row))
      .reverse();
  }

  /** All alert events of a stored span, in order. */
  eventsBetween(fromMs: number, toMs: number): AlertEvent[] {
    return this.#eventsBetween.all(fromMs, toMs).flatMap((row) => this.#eventOf(row));
  }

  /**
   * The newest alerts that may overlap a stored span, newest first, each with the instant of its last
   * event: it was open then at the latest.
   */
  overlapping(
    fromMs: number,
    toMs: number,
    limit: number,
  ): { alert: Alert; lastEventMs: number }[] {
    return this.#overlapping.all(toMs, fromMs, fromMs, limit).flatMap(([text, lastMs]) => {
      const alert = this.#alertOf(text);
      return alert === null ? [] : [{ alert, lastEventMs: lastMs ?? alert.raisedAtMs }];
    });
  }

  /** Changes of sources in a stored span, newest first. */
  sourceEvents(fromMs: number, toMs: number, limit: number): PanelEvent[] {
    return this.#sourceEvents.all(fromMs, toMs, limit).map((row) => this.#panelEventOf(row));
  }

  /** Of each part the last change of its feed and the last of its voltage before a stored instant. */
  lastSourceEvents(beforeMs: number): PanelEvent[] {
    return this.#lastSourceEvents.all(beforeMs).map((row) => this.#panelEventOf(row));
  }

  /** Newest first. */
  panelEvents({ from = 0, to = Number.MAX_VALUE, limit }: PanelEventsQuery): PanelEvent[] {
    return this.#panelEvents
      .all(from, to, from, to, limit - 1)
      .map((row) => this.#panelEventOf(row));
  }

  /** SQLite does not notice when a text of its own has changed; one such row must not hide the rest. */
  #alertOf(text: string): Alert | null {
    try {
      const alert: Alert = JSON.parse(text);
      return alert;
    } catch {
      this.unreadable += 1;
      return null;
    }
  }

  /** None where the disk has changed it. */
  #eventOf({ seq, at_ms: atMs, alert_id, type, actor, alert_json }: EventRow): AlertEvent[] {
    const alert = this.#alertOf(alert_json);
    return alert === null ? [] : [{ seq, atMs, alertId: alert_id, type, actor, alert }];
  }

  #panelEventOf({ saidJson, feedJson, ...event }: PanelEventRow): PanelEvent {
    try {
      const said: Exclude<PanelEvent['said'], undefined> | null = JSON.parse(saidJson ?? 'null');
      const feed: Exclude<PanelEvent['feed'], undefined> | null = JSON.parse(feedJson ?? 'null');
      return { ...event, ...(said && { said }), ...(feed && { feed }) };
    } catch {
      this.unreadable += 1;
      return event;
    }
  }

  #writeAll(batch: CommitBatch, lost: LostEvents | null): void {
    for (const boot of batch.boots ?? []) this.#setBoot.run(boot);
    if (lost !== null) this.#addLost.run(lost.firstSeq, lost.lastSeq, lost.notedAtMs, lost.why);
    let last = this.lastSeq();
    for (const { seq, atMs, alertId, type, actor, alert } of batch.alertEvents) {
      if (seq !== last + 1) {
        throw new RangeError(`alert event ${seq} cannot follow ${last}: the record has no gaps`);
      }
      last = seq;
      const text = JSON.stringify(alert);
      this.#addEvent.run(seq, atMs, alertId, type, actor, text);
      this.#setAlert.run(alertId, alert.phase === 'closed' ? 0 : 1, alert.raisedAtMs, text);
    }
    for (const { atMs, type, part, text, said, feed } of batch.panelEvents) {
      this.#addPanelEvent.run(atMs, type, part, text, jsonOrNull(said), jsonOrNull(feed));
    }
    if (batch.savedWatch !== undefined) {
      this.#setWatch.run(batch.savedWatch.atMs, JSON.stringify(batch.savedWatch));
    }
  }
}

const jsonOrNull = (value: object | undefined): string | null =>
  value === undefined ? null : JSON.stringify(value);

function prepareAlerts(
  db: Database,
  phase: AlertsQuery['phase'],
): Statement<[number, number, number], string> {
  const which = `${PHASES[phase]} AND raised_at_ms < ?`;
  return db
    .prepare<[number, number, number], string>(
      `SELECT alert_json FROM alert WHERE ${which} AND raised_at_ms >= coalesce(
         (SELECT raised_at_ms FROM alert WHERE ${which}
          ORDER BY raised_at_ms DESC LIMIT 1 OFFSET ?), 0)
       ORDER BY raised_at_ms DESC, id DESC`,
    )
    .pluck();
}

/** Whether this can be a watch as it was saved, of any version. */
export function isSavedWatch(saved: unknown): saved is SavedWatch {
  return (
    typeof saved === 'object' &&
    saved !== null &&
    'version' in saved &&
    typeof saved.version === 'number' &&
    'atMs' in saved &&
    typeof saved.atMs === 'number'
  );
}
