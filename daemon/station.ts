/**
 * The watch at work: readings in, an evaluation every second, alert events to the disk before
 * anyone is told. Knows neither HTTP nor MQTT.
 */
import type {
  Act,
  AlertEvent,
  Boat,
  Mode,
  PanelEvent,
  PanelState,
  PartId,
  Reading,
  SelfReport,
  Silence,
  Telling,
  Tellings,
  Watch,
} from '../rules/index.ts';
import { createWatch } from '../rules/index.ts';
import type { Acknowledgement, Said, Update } from './api/parts.ts';
import type { Clock } from './clock.ts';
import { stopwatch } from './clock.ts';
import type { Store } from './store/store.ts';

const EVALUATE_EVERY_MS = 1000;
/** Pending delays and what rules have learned outlive a crash up to this long before it. */
const SAVE_EVERY_MS = 30_000;

export class Station {
  readonly #watch: Watch;
  readonly #store: Store;
  readonly #clock: Clock;
  readonly #listeners = new Set<(update: Update) => void>();
  #stopEvaluating: () => void = () => {};
  #panel: PanelState | null = null;
  #lastSavedMs: number;
  #evaluations = 0;
  #lastTookMs: number | null = null;
  readonly #telling: Telling | null;
  /** Done by a person before the first evaluation. */
  readonly #untold: AlertEvent[] = [];

  /** `telling`: writes the letters that leave the boat; without it, none are written. */
  constructor(boat: Boat, store: Store, clock: Clock, telling: Telling | null = null) {
    this.#telling = telling;
    this.#store = store;
    this.#clock = clock;
    this.#watch = createWatch(boat, store.loadWatch(), store.lastSeq());
    this.#lastSavedMs = clock.nowMs();
    const recalled = this.#watch.recall(store.recordedOpen(), this.#lastSavedMs);
    if (recalled.length > 0) this.#record(recalled, [], this.#lastSavedMs);
  }

  /** Evaluates from now on, once a second. */
  start(): void {
    this.#stopEvaluating();
    this.#stopEvaluating = this.#clock.every(EVALUATE_EVERY_MS, () => this.evaluate());
  }

  get panel(): PanelState | null {
    return this.#panel;
  }

  get evaluation(): { lastAtMs: number | null; count: number; lastTookMs: number | null } {
    return {
      lastAtMs: this.#panel?.atMs ?? null,
      count: this.#evaluations,
      lastTookMs: this.#lastTookMs,
    };
  }

  openAlerts() {
    return this.#watch.openAlerts();
  }

  take(input: Reading | Silence): void {
    const isKnown = this.#watch.take(input) !== 'unknown point';
    if (isKnown && !('isSilent' in input)) this.#store.addReading(input);
  }

  /** What panelward knows of its own health, for the next evaluations. */
  report(self: SelfReport): void {
    this.#watch.report(self);
  }

  evaluate(): void {
    const took = stopwatch();
    const nowMs = this.#clock.nowMs();
    const { panel, alertEvents, panelEvents } = this.#watch.evaluate(nowMs);
    this.#panel = panel;
    this.#evaluations += 1;
    this.#record(alertEvents, panelEvents, nowMs);
    this.#lastTookMs = took();
    this.#tell({ alertEvents, panelEvents, tookMs: this.#lastTookMs });
  }

  acknowledge(alertId: string, by: string): Acknowledgement {
    return this.act(alertId, { type: 'acknowledge' }, by);
  }

  /** What a person does about an open alert: on the disk before anyone is told, this person too. */
  act(alertId: string, act: Act, by: string): Acknowledgement {
    const nowMs = this.#clock.nowMs();
    const outcome = this.#watch.act(alertId, act, by, nowMs);
    if ('problem' in outcome) {
      const isKnown = this.#isOpen(alertId) || this.#store.alert(alertId) !== null;
      return { problem: outcome.problem, why: isKnown ? 'refused' : 'unknown' };
    }
    const [event] = outcome.events;
    if (!event) {
      const alert = this.#watch.openAlerts().find((own) => own.id === alertId);
      return alert ? { alert } : { problem: 'This alert is over.', why: 'refused' };
    }
    const problem = this.#record(outcome.events, [], nowMs);
    this.#tell({ alertEvents: outcome.events, panelEvents: [], tookMs: null });
    return problem === null ? { alert: event.alert } : { problem, why: 'not stored' };
  }

  /** Says what the boat is about; null: for ever. */
  setMode(mode: Mode, untilMs: number | null, by: string): Said {
    const nowMs = this.#clock.nowMs();
    return this.#say(this.#watch.setMode(mode, untilMs, by, nowMs), 'refused', nowMs);
  }

  /** Takes a person's word for where a selector or main switch stands; null takes it back. */
  state(part: PartId, position: string | null, by: string): Said {
    const nowMs = this.#clock.nowMs();
    const kind = this.#watch.boat.parts.get(part)?.part;
    const why = kind === 'selector' || kind === 'main switch' ? 'refused' : 'unknown';
    return this.#say(this.#watch.state(part, position, by, nowMs), why, nowMs);
  }

  onUpdate(listener: (update: Update) => void): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  /** Stops evaluating and saves. */
  stop(): void {
    this.#stopEvaluating();
    this.#save(this.#clock.nowMs(), [], []);
  }

  #isOpen(alertId: string): boolean {
    return this.#watch.openAlerts().some(({ id }) => id === alertId);
  }

  #say(outcome: ReturnType<Watch['state']>, why: 'refused' | 'unknown', nowMs: number): Said {
    if ('problem' in outcome) return { problem: outcome.problem, why };
    const problem = this.#record([], outcome.events, nowMs);
    this.#tell({ alertEvents: [], panelEvents: outcome.events, tookMs: null });
    return problem === null ? outcome : { problem, why: 'not stored' };
  }

  /** Writes what happened, and now and then what the watch remembers; returns why it could not. */
  #record(
    alertEvents: readonly AlertEvent[],
    panelEvents: readonly PanelEvent[],
    nowMs: number,
  ): string | null {
    const tellings = this.#tellings(alertEvents, nowMs);
    const isQuiet = alertEvents.length === 0 && panelEvents.length === 0 && !hasNews(tellings);
    if (isQuiet && nowMs - this.#lastSavedMs < SAVE_EVERY_MS) return null;
    return this.#save(nowMs, alertEvents, panelEvents, tellings);
  }

  /** What is to be told of it outside, to be written with it. */
  #tellings(alertEvents: readonly AlertEvent[], nowMs: number): Tellings | null {
    const panel = this.#panel;
    if (this.#telling === null) return null;
    this.#untold.push(...alertEvents);
    if (panel === null) return null;
    const untold = this.#untold.splice(0);
    const utcOffsetMs = this.#store.boots().at(-1)?.offsetMs ?? 0;
    return this.#telling.take(untold, { nowMs, mode: panel.mode.name, panel, utcOffsetMs });
  }

  #save(
    nowMs: number,
    alertEvents: readonly AlertEvent[],
    panelEvents: readonly PanelEvent[],
    tellings: Tellings | null = null,
  ): string | null {
    this.#lastSavedMs = nowMs;
    const savedWatch = this.#watch.save(nowMs);
    const result = this.#store.commit({
      alertEvents,
      panelEvents,
      savedWatch,
      ...(tellings && { letters: tellings.letters, withdrawnLetters: tellings.withdrawn }),
      ...(this.#telling && hasNews(tellings) && { savedTelling: this.#telling.save() }),
    });
    return result.isDurable ? null : result.problem;
  }

  #tell(update: Update): void {
    for (const listener of this.#listeners) listener(update);
  }
}

function hasNews(tellings: Tellings | null): boolean {
  if (tellings === null) return false;
  const { letters, withdrawn, isChanged } = tellings;
  return isChanged || letters.length > 0 || withdrawn.length > 0;
}
