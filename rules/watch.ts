/**
 * The watch: readings and time in, panel state and alert events out. Deterministic, no clock, no
 * I/O; the same inputs in the same order give the same outputs live, in a test and over history.
 */
import type { Act, Alert, AlertEvent, Mode } from './alerts/alert.ts';
import { MODES } from './alerts/alert.ts';
import { Ledger } from './alerts/ledger.ts';
import type { SavedLedger } from './alerts/ledger.ts';
import type { Boat, PartId } from './boat/boat.ts';
import type { RunningRule } from './catalogue/catalogue-rule.ts';
import { CATALOGUE } from './catalogue/index.ts';
import type { RuleContext } from './catalogue/rule.ts';
import { Batteries } from './panel/batteries.ts';
import type { SavedBatteries } from './panel/batteries.ts';
import { Latest } from './panel/latest.ts';
import type { SavedLatest } from './panel/latest.ts';
import { Panel } from './panel/panel.ts';
import type { PanelEvent, PanelState, StandingMode } from './panel/panel-state.ts';
import { copyPast, emptyPast, noteChanges } from './panel/past.ts';
import type { Past } from './panel/past.ts';
import type { Reading, Silence } from './reading.ts';
import type { SelfReport } from './self-report.ts';

export type { PanelEvent };

export interface Evaluation {
  panel: PanelState;
  alertEvents: AlertEvent[];
  panelEvents: PanelEvent[];
}

/** Everything the watch must remember over a restart. Plain JSON; its shape is its own business. */
export interface SavedWatch {
  version: number;
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
  /**
   * What a person does about one open alert: acknowledges, silences, shelves it and so on. Returns
   * as above; the problem says what stands in the way.
   */
  act(
    alertId: string,
    act: Act,
    by: string,
    nowMs: number,
  ): { events: AlertEvent[] } | { problem: string };
  /**
   * Takes a person's word for where a selector or main switch stands; null takes it back. It counts
   * until a reading contradicts it.
   */
  state(
    part: PartId,
    position: string | null,
    by: string,
    nowMs: number,
  ): { events: PanelEvent[] } | { problem: string };
  /** Says what the boat is about, for ever or until `untilMs`, when it is `aboard` again. */
  setMode(
    mode: Mode,
    untilMs: number | null,
    by: string,
    nowMs: number,
  ): { events: PanelEvent[] } | { problem: string };
  /**
   * Takes what panelward knows of its own health; it counts for a minute and is not kept over a
   * restart. Without any, nothing is told of panelward itself.
   */
  report(self: SelfReport): void;
  /**
   * Takes up the alerts that the record holds open and this watch knows nothing of, because what was
   * saved is lost, of another version or older. They are held until the sensors tell. Returns the
   * events to record, none where nothing was lost. To be called once, before anything else.
   */
  recall(recorded: readonly Alert[], nowMs: number): AlertEvent[];
  /** What later calls change may show in it: put it away, as text, before them. */
  save(nowMs: number): SavedWatch;
}

interface Memory extends SavedWatch {
  latest: SavedLatest;
  past: Past;
  ledger: SavedLedger;
  batteries: SavedBatteries;
  mode: StandingMode;
  /** What each rule remembers, by its name. */
  rules: Record<string, unknown>;
}

/** Shape of `SavedWatch`; another one is not read, for it would be guessed at. */
const VERSION = 2;

const LONGEST_WORK_MS = 24 * 3_600_000;

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
  readonly #batteries: Batteries;
  readonly #ledger: Ledger;
  readonly #rules: readonly RunningRule[];
  #mode: StandingMode;
  #lastMs: number | null = null;
  #self: SelfReport | null = null;

  constructor(boat: Boat, saved: Partial<Memory>, lastSeq: number) {
    this.boat = boat;
    this.#latest = new Latest(boat, saved.latest);
    this.#past = saved.past ?? emptyPast();
    this.#panel = new Panel(boat, this.#latest, this.#past);
    this.#batteries = new Batteries(boat, saved.batteries);
    this.#ledger = new Ledger(saved.ledger ?? {}, lastSeq);
    this.#rules = CATALOGUE.map((rule) => rule.start(boat, saved.rules?.[rule.name]));
    this.#mode = saved.mode ?? { name: 'aboard', sinceMs: null, untilMs: null, by: null };
  }

  take(input: Reading | Silence): 'taken' | 'older' | 'unknown point' {
    return this.#latest.take(input);
  }

  evaluate(nowMs: number): Evaluation {
    const passedMs = this.#lastMs === null ? 0 : Math.max(0, nowMs - this.#lastMs);
    this.#lastMs = Math.max(nowMs, this.#lastMs ?? nowMs);
    const modeEvents = this.#endMode(nowMs);
    const mode = this.#mode.name;
    const seen = this.#panel.state(nowMs);
    const batteries = this.#batteries.look(seen, nowMs, passedMs);
    const panel: PanelState = { ...seen, batteries, mode: this.#mode };
    const context: RuleContext = {
      boat: this.boat,
      panel,
      past: this.#past,
      nowMs,
      passedMs,
      mode,
      standing: this.#ledger.standing,
      ...(this.#self && { self: this.#self }),
    };
    const checks = this.#rules.flatMap((rule) => rule.checks(context));
    const alertEvents = this.#ledger.run(checks, nowMs, passedMs, mode);
    return {
      panel,
      alertEvents,
      panelEvents: [...modeEvents, ...this.#panel.takeEvents(), ...noteChanges(this.#past, panel)],
    };
  }

  openAlerts(): Alert[] {
    return this.#ledger.open();
  }

  acknowledge(
    alertId: string,
    by: string,
    nowMs: number,
  ): { events: AlertEvent[] } | { problem: string } {
    return this.#ledger.act(alertId, { type: 'acknowledge' }, by, nowMs);
  }

  act(
    alertId: string,
    act: Act,
    by: string,
    nowMs: number,
  ): { events: AlertEvent[] } | { problem: string } {
    return this.#ledger.act(alertId, act, by, nowMs);
  }

  state(
    id: PartId,
    position: string | null,
    by: string,
    nowMs: number,
  ): { events: PanelEvent[] } | { problem: string } {
    const part = this.boat.parts.get(id);
    if (part?.part !== 'selector' && part?.part !== 'main switch') {
      return { problem: `"${id}" is no selector or main switch of this boat.` };
    }
    const names = part.part === 'selector' ? [...part.positions.keys()] : ['closed', 'open'];
    if (position !== null && !names.includes(position)) {
      return { problem: `${part.label} stands on ${names.join(' or ')}, never on "${position}".` };
    }
    if (position === null) delete this.#past.statements[id];
    else this.#past.statements[id] = { position, by, atMs: nowMs };
    const text =
      position === null
        ? `${by} takes back what was said of ${part.label}.`
        : `${by} says that ${part.label} stands on ${position}.`;
    const said = { by, position };
    return { events: [{ atMs: nowMs, type: 'stated', part: id, text, said }] };
  }

  setMode(
    mode: Mode,
    untilMs: number | null,
    by: string,
    nowMs: number,
  ): { events: PanelEvent[] } | { problem: string } {
    if (!MODES.includes(mode)) return { problem: `The mode is one of ${MODES.join(', ')}.` };
    if (untilMs !== null && untilMs <= nowMs) return { problem: 'The end must lie ahead.' };
    const isTooLong = untilMs === null || untilMs > nowMs + LONGEST_WORK_MS;
    if (mode === 'work in progress' && isTooLong) {
      return { problem: 'Work in progress needs an end within 24 hours.' };
    }
    this.#mode = { name: mode, sinceMs: nowMs, untilMs, by };
    const text = `${by}: ${mode}.`;
    const said = { by, mode, untilMs };
    return { events: [{ atMs: nowMs, type: 'mode changed', part: '', text, said }] };
  }

  report(self: SelfReport): void {
    this.#self = self;
  }

  recall(recorded: readonly Alert[], nowMs: number): AlertEvent[] {
    return this.#ledger.recall(recorded, nowMs);
  }

  save(nowMs: number): SavedWatch {
    const memory: Memory = {
      version: VERSION,
      atMs: nowMs,
      latest: this.#latest.save(),
      past: copyPast(this.#past),
      ledger: this.#ledger.save(),
      batteries: this.#batteries.save(),
      mode: this.#mode,
      rules: Object.fromEntries(this.#rules.map((rule) => [rule.name, rule.save()])),
    };
    return memory;
  }

  #endMode(nowMs: number): PanelEvent[] {
    const { untilMs, name } = this.#mode;
    if (untilMs === null || nowMs < untilMs) return [];
    this.#mode = { name: 'aboard', sinceMs: nowMs, untilMs: null, by: null };
    return [{ atMs: nowMs, type: 'mode changed', part: '', text: `The time of ${name} is over.` }];
  }
}
