/** Alert events and alerts as they stand, in `alerts.db`. Throws what SQLite throws. */
import type { Database, Statement } from 'better-sqlite3';
import { linkOf } from './event-chain.ts';
import type { Alert, AlertEvent } from '../../rules/alerts/alert.ts';

export interface AlertsQuery {
  /** `past`: closed. `open`: not closed yet. */
  phase: 'open' | 'past' | 'all';
  /** Alerts that were raised at the same instant are never parted, so it can be a few more. */
  limit: number;
  /** Only alerts raised before this instant, ms. */
  before?: number;
}

/** One alert's events given back at most; an alert that flaps for weeks has more. */
const EVENTS_MAX = 1000;

const PHASES = { open: 'is_open = 1', past: 'is_open = 0', all: 'TRUE' } as const;

interface EventRow {
  seq: number;
  at_ms: number;
  alert_id: string;
  type: AlertEvent['type'];
  actor: string;
  alert_json: string;
}

export class AlertTables {
  readonly #addEvent: Statement<[number, number, string, string, string, string, string]>;
  readonly #link: Statement<[number], string | null>;
  readonly #setAlert: Statement<[string, number, number, string]>;
  readonly #alert: Statement<[string], string>;
  readonly #alerts: Record<AlertsQuery['phase'], Statement<[number, number, number], string>>;
  readonly #open: Statement<[], string>;
  readonly #eventsOf: Statement<[string, number], EventRow>;
  readonly #eventsBetween: Statement<[number, number], EventRow>;
  readonly #overlapping: Statement<[number, number, number, number], [string, number | null]>;
  /** Rows left out of an answer because the disk has changed what they say. */
  unreadable = 0;

  constructor(db: Database) {
    this.#addEvent = db.prepare(
      `INSERT INTO alert_event (seq, at_ms, alert_id, type, actor, alert_json, link)
       VALUES (?, ?, ?, ?, ?, ?, ?)`,
    );
    this.#link = db
      .prepare<[number], string | null>('SELECT link FROM alert_event WHERE seq = ?')
      .pluck();
    this.#setAlert = db.prepare(
      `INSERT INTO alert (id, is_open, raised_at_ms, alert_json) VALUES (?, ?, ?, ?)
       ON CONFLICT (id) DO UPDATE SET is_open = excluded.is_open,
         raised_at_ms = excluded.raised_at_ms, alert_json = excluded.alert_json`,
    );
    this.#alert = db.prepare<[string], string>('SELECT alert_json FROM alert WHERE id = ?').pluck();
    this.#alerts = {
      open: prepareAlerts(db, 'open'),
      past: prepareAlerts(db, 'past'),
      all: prepareAlerts(db, 'all'),
    };
    this.#open = db
      .prepare<[], string>(
        'SELECT alert_json FROM alert WHERE is_open = 1 ORDER BY raised_at_ms, id',
      )
      .pluck();
    this.#eventsOf = db.prepare(
      'SELECT * FROM alert_event WHERE alert_id = ? ORDER BY seq DESC LIMIT ?',
    );
    this.#eventsBetween = db.prepare(
      'SELECT * FROM alert_event WHERE at_ms >= ? AND at_ms < ? ORDER BY seq',
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
  }

  /** The event, and its alert as it stands after it. */
  add({ seq, atMs, alertId, type, actor, alert }: AlertEvent): void {
    const text = JSON.stringify(alert);
    const row = { seq, at_ms: atMs, alert_id: alertId, type, actor, alert_json: text };
    const link = linkOf(this.#link.get(seq - 1) ?? null, row);
    this.#addEvent.run(seq, atMs, alertId, type, actor, text, link);
    this.#setAlert.run(alertId, alert.phase === 'closed' ? 0 : 1, alert.raisedAtMs, text);
  }

  alert(id: string): Alert | null {
    const text = this.#alert.get(id);
    return text === undefined ? null : this.#alertOf(text);
  }

  /** All that are open, oldest raised first; rows that cannot be read are left out and counted. */
  open(): Alert[] {
    return this.#open.all().flatMap((text) => this.#alertOf(text) ?? []);
  }

  /** Newest raised first; rows that cannot be read are left out and counted. */
  alerts({ phase, limit, before = Number.MAX_VALUE }: AlertsQuery): Alert[] {
    const texts = this.#alerts[phase].all(before, before, limit - 1);
    return texts.flatMap((text) => this.#alertOf(text) ?? []);
  }

  /** Oldest first; of more than a thousand the newest thousand. */
  eventsOf(alertId: string): AlertEvent[] {
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
}

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
