/**
 * The record of alerts and panel events asked in present instants: finds where those are stored, and
 * gives back what is there at its present instants. See time-axis.ts.
 */
import type { Alert, AlertEvent } from '../../rules/alerts/alert.ts';
import type { PanelEvent } from '../../rules/watch.ts';
import type { AlertRecord } from './alert-record.ts';
import type { AlertsQuery } from './alert-tables.ts';
import type { PanelEventsQuery } from './panel-event-table.ts';
import { alertOn, eventOn, type TimeAxis } from './time-axis.ts';

/** An alert with the instant of its last event: when it ended, once it is closed. */
export interface AlertWithin {
  alert: Alert;
  endedAtMs: number;
}

export class RecordOnAxis {
  readonly #record: () => AlertRecord;
  readonly #axis: () => TimeAxis;

  constructor(record: () => AlertRecord, axis: () => TimeAxis) {
    this.#record = record;
    this.#axis = axis;
  }

  /** Newest raised first. */
  alerts(query: AlertsQuery): Alert[] {
    const { before } = query;
    const axis = this.#axis();
    const last = before === undefined ? undefined : axis.spans(-Infinity, before).at(-1);
    return this.#record()
      .alerts.alerts({ ...query, ...(last && { before: last.toMs }) })
      .map((alert) => alertOn(axis, alert));
  }

  alert(id: string): Alert | null {
    const alert = this.#record().alerts.alert(id);
    return alert === null ? null : alertOn(this.#axis(), alert);
  }

  /** Oldest first. */
  alertEvents(id: string): AlertEvent[] {
    const axis = this.#axis();
    const events = this.#record().alerts.eventsOf(id);
    return axis.isStraight ? events : events.map((event) => eventOn(axis, event));
  }

  /** Newest first. */
  panelEvents({ from = -Infinity, to = Infinity, limit }: PanelEventsQuery): PanelEvent[] {
    return this.#newest(from, to, limit, (first, end, left) =>
      this.#record().panelEvents.between({ from: first, to: end, limit: left }),
    );
  }

  /** Changes of sources, the newest `limit`, oldest first. */
  sourceEvents(fromMs: number, toMs: number, limit: number): PanelEvent[] {
    return this.#newest(fromMs, toMs, limit, (first, end, left) =>
      this.#record().panelEvents.ofSources(first, end, left),
    ).reverse();
  }

  /** Of each part the last change of its feed and the last of its voltage before an instant. */
  sourceEventsBefore(atMs: number): PanelEvent[] {
    const last = this.#axis().spans(-Infinity, atMs).at(-1);
    if (last === undefined) return [];
    const events = this.#record().panelEvents.lastOfSources(last.toMs);
    for (const event of events) event.atMs = this.#axis().presentMsOf(event.atMs);
    return events;
  }

  /** Alerts that overlap a span, the newest `limit`, newest first. */
  alertsWithin(fromMs: number, toMs: number, limit: number): AlertWithin[] {
    const axis = this.#axis();
    // An alert can begin in one start of the daemon and end in another one.
    const spans = axis.spans(fromMs, toMs);
    const first = Math.min(...spans.map((span) => span.fromMs));
    const end = Math.max(...spans.map((span) => span.toMs));
    if (spans.length === 0) return [];
    return this.#record()
      .alerts.overlapping(first, end, limit)
      .map(({ alert, lastEventMs }) => ({
        alert: alertOn(axis, alert),
        endedAtMs: axis.presentMsOf(lastEventMs),
      }));
  }

  #newest(
    fromMs: number,
    toMs: number,
    limit: number,
    read: (fromMs: number, toMs: number, limit: number) => PanelEvent[],
  ): PanelEvent[] {
    const events: PanelEvent[] = [];
    for (const span of this.#axis().spans(fromMs, toMs).reverse()) {
      if (events.length >= limit) break;
      const found = read(span.fromMs, span.toMs, limit - events.length);
      const isStill = span.shiftMs === 0;
      events.push(...(isStill ? found : found.map((event) => shifted(event, span.shiftMs))));
    }
    return events;
  }
}

function shifted(event: PanelEvent, byMs: number): PanelEvent {
  return { ...event, atMs: event.atMs + byMs };
}
