/**
 * The watch: readings and time in, panel state and alert events out. Deterministic, no clock, no
 * I/O; the same inputs in the same order give the same outputs live, in a test and over history.
 */
import type { Alert, AlertEvent, Finding } from './alerts/alert.ts';
import { PRIORITIES } from './alerts/alert.ts';
import { advance, newAlert } from './alerts/alert-life.ts';
import type { Happening } from './alerts/alert-life.ts';
import type { Check } from './alerts/check.ts';
import { isIdle, step } from './alerts/timing.ts';
import type { Timing } from './alerts/timing.ts';
import type { Boat } from './boat/boat.ts';
import { CATALOGUE } from './catalogue/index.ts';
import type { RuleContext } from './catalogue/rule.ts';
import { Latest } from './panel/latest.ts';
import type { SavedLatest } from './panel/latest.ts';
import { Panel } from './panel/panel.ts';
import { copyPast, emptyPast, noteChanges } from './panel/past.ts';
import type { Past } from './panel/past.ts';
import type { PanelEvent, PanelState } from './panel/panel-state.ts';
import type { Reading, Silence } from './reading.ts';

export type { PanelEvent };

export interface Evaluation {
  panel: PanelState;
  alertEvents: AlertEvent[];
  panelEvents: PanelEvent[];
}

/** Everything the watch must remember over a restart. Plain JSON; its shape is its own business. */
export interface SavedWatch {
  version: 1;
  atMs: number;
  [memory: string]: unknown;
}

export interface Watch {
  readonly boat: Boat;
  /**
   * Takes one reading. `older` when its point already has a newer one (it belongs in history only),
   * `unknown point` when the boat has no such point.
   */
  take(input: Reading | Silence): 'taken' | 'older' | 'unknown point';
  /** Works out the panel and runs every rule, as of `nowMs`. Never goes back in time. */
  evaluate(nowMs: number): Evaluation;
  /** Alerts that are not closed, most urgent first, then newest. */
  openAlerts(): Alert[];
  /**
   * Acknowledges one open alert. Returns the events to record (none if it already was
   * acknowledged), or a problem for the person who asked.
   */
  acknowledge(
    alertId: string,
    by: string,
    nowMs: number,
  ): { events: AlertEvent[] } | { problem: string };
  save(nowMs: number): SavedWatch;
}

interface Memory extends SavedWatch {
  latest: SavedLatest;
  past: Past;
  timings: Record<string, Timing>;
  alerts: Record<string, Alert>;
  seq: number;
}

/** Shape of `SavedWatch`; an older one is not read, for it would be guessed at. */
const VERSION = 1;

/**
 * A watch over `boat`, going on from where `saved` left off. `lastSeq` is the number of the last
 * alert event on record, for when the record is newer than what was saved.
 */
export function createWatch(
  boat: Boat,
  saved: SavedWatch | null = null,
  lastSeq: number = 0,
): Watch {
  return new BoatWatch(boat, saved?.version === VERSION ? saved : {}, lastSeq);
}

class BoatWatch implements Watch {
  readonly boat: Boat;
  readonly #latest: Latest;
  readonly #past: Past;
  readonly #panel: Panel;
  readonly #timings: Map<string, Timing>;
  /** Open alerts by the key of their check. */
  readonly #alerts: Map<string, Alert>;
  #seq: number;
  #lastMs: number | null = null;

  constructor(boat: Boat, saved: Partial<Memory>, lastSeq: number) {
    this.boat = boat;
    this.#latest = new Latest(boat, saved.latest);
    this.#past = saved.past ?? emptyPast();
    this.#panel = new Panel(boat, this.#latest, this.#past);
    this.#timings = new Map(Object.entries(saved.timings ?? {}));
    this.#alerts = new Map(Object.entries(saved.alerts ?? {}));
    this.#seq = Math.max(saved.seq ?? 0, lastSeq);
  }

  take(input: Reading | Silence): 'taken' | 'older' | 'unknown point' {
    return this.#latest.take(input);
  }

  evaluate(nowMs: number): Evaluation {
    const passedMs = this.#lastMs === null ? 0 : Math.max(0, nowMs - this.#lastMs);
    this.#lastMs = Math.max(nowMs, this.#lastMs ?? nowMs);
    const panel = this.#panel.state(nowMs);
    const context: RuleContext = { boat: this.boat, panel, past: this.#past };
    const checks = CATALOGUE.flatMap((rule) => rule(context));
    const alertEvents = [
      ...checks.flatMap((check) => this.#run(check, nowMs, passedMs)),
      ...this.#closeOrphans(checks, nowMs),
    ];
    return { panel, alertEvents, panelEvents: noteChanges(this.#past, panel) };
  }

  openAlerts(): Alert[] {
    return [...this.#alerts.values()].sort(
      (a, b) =>
        PRIORITIES.indexOf(a.priority) - PRIORITIES.indexOf(b.priority) ||
        b.raisedAtMs - a.raisedAtMs,
    );
  }

  acknowledge(
    alertId: string,
    by: string,
    nowMs: number,
  ): { events: AlertEvent[] } | { problem: string } {
    for (const [key, alert] of this.#alerts) {
      if (alert.id !== alertId) continue;
      return { events: this.#happen(key, alert, { type: 'acknowledge', by }, nowMs, by) };
    }
    return { problem: `No open alert is called "${alertId}"; it may be over already.` };
  }

  save(nowMs: number): SavedWatch {
    const memory: Memory = {
      version: VERSION,
      atMs: nowMs,
      latest: this.#latest.save(),
      past: copyPast(this.#past),
      timings: Object.fromEntries(this.#timings),
      alerts: Object.fromEntries(this.#alerts),
      seq: this.#seq,
    };
    return memory;
  }

  /** Times one check and lets its alert live on. */
  #run(check: Check, nowMs: number, passedMs: number): AlertEvent[] {
    const timed = step(check, this.#timings.get(check.key), nowMs, passedMs);
    if (isIdle(timed.timing)) this.#timings.delete(check.key);
    else this.#timings.set(check.key, timed.timing);

    const alert = this.#alerts.get(check.key);
    const level = timed.met === null ? undefined : check.levels[timed.met];
    if (!level) {
      return alert ? this.#happen(check.key, alert, { type: 'return' }, nowMs) : [];
    }
    if (!alert) {
      return this.#raise(check.key, check.describe(level.priority), timed.sinceMs ?? nowMs, nowMs);
    }
    if (timed.isHeld) return this.#happen(check.key, alert, { type: 'hold' }, nowMs);
    const finding = check.describe(level.priority);
    // While it is on its way to being over, the words stay those of when it held.
    const happenings: Happening[] =
      alert.phase === 'returned'
        ? [{ type: 'raise', finding }]
        : level.verdict === 'raise'
          ? [{ type: 'resume' }, { type: 'describe', finding }]
          : [{ type: 'resume' }];
    return happenings.flatMap((happening) => {
      const current = this.#alerts.get(check.key);
      return current ? this.#happen(check.key, current, happening, nowMs) : [];
    });
  }

  #raise(key: string, finding: Finding, sinceMs: number, nowMs: number): AlertEvent[] {
    // Event numbers never come again, so neither do ids.
    const alert = newAlert(finding, `${key}.${this.#seq + 1}`, sinceMs, nowMs);
    this.#alerts.set(key, alert);
    return [this.#event('raised', alert, nowMs, 'panelward')];
  }

  #happen(
    key: string,
    before: Alert,
    happening: Happening,
    nowMs: number,
    actor = 'panelward',
  ): AlertEvent[] {
    const { alert, type } = advance(before, happening, nowMs);
    if (alert.phase === 'closed') this.#alerts.delete(key);
    else this.#alerts.set(key, alert);
    return type === null ? [] : [this.#event(type, alert, nowMs, actor)];
  }

  #event(type: AlertEvent['type'], alert: Alert, nowMs: number, actor: string): AlertEvent {
    this.#seq += 1;
    return { seq: this.#seq, atMs: nowMs, alertId: alert.id, type, actor, alert };
  }

  /** Alerts whose subject has gone from the boat file: nobody will ever clear them. */
  #closeOrphans(checks: readonly Check[], nowMs: number): AlertEvent[] {
    const keys = new Set(checks.map((check) => check.key));
    for (const key of this.#timings.keys()) if (!keys.has(key)) this.#timings.delete(key);
    return [...this.#alerts].flatMap(([key, alert]) =>
      keys.has(key) ? [] : this.#happen(key, alert, { type: 'close' }, nowMs),
    );
  }
}
