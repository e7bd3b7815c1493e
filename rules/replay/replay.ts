/**
 * Today's rules, or changed ones, over what was recorded: readings and what people said go through
 * the very watch that runs live, an evaluation a second, and the alerts that come of it are kept.
 *
 * A restart of the daemon is one here too. Between the last reading before it and the restart
 * nobody watched, so nothing is evaluated there.
 */
import type { AlertEvent } from '../alerts/alert.ts';
import type { Boat } from '../boat/boat.ts';
import type { PanelEvent } from '../panel/panel-state.ts';
import type { Reading } from '../reading.ts';
import { createWatch } from '../watch.ts';
import type { Watch } from '../watch.ts';

const EVALUATE_EVERY_MS = 1000;
/** So long after the last reading before a restart the daemon may still have been judging silence. */
const JUDGED_SILENCE_MS = 300_000;

export interface ReplayScript {
  /** First instant whose alerts count, ms; readings from before it prepare the watch. */
  fromMs: number;
  /** Instant after the last, ms. */
  toMs: number;
  /** Instants at which the daemon started anew, in order. */
  restartsAtMs: readonly number[];
  /** Panel events as recorded, in order of time; those that people said are said again. */
  panelEvents: readonly PanelEvent[];
}

export class Replay {
  readonly #boat: Boat;
  readonly #script: ReplayScript;
  readonly #events: AlertEvent[] = [];
  readonly #restarts: number[];
  readonly #panelEvents: PanelEvent[];
  #watch: Watch;
  /** Instant of the next evaluation; null before the first reading. */
  #nextMs: number | null = null;
  #lastReadingMs: number | null = null;
  #passedOver = 0;

  constructor(boat: Boat, script: ReplayScript) {
    this.#boat = boat;
    this.#script = script;
    this.#restarts = [...script.restartsAtMs];
    this.#panelEvents = script.panelEvents.filter(({ said }) => said !== undefined);
    this.#watch = createWatch(boat);
  }

  /** Takes a reading, in order of time; those of points that the boat does not have are counted. */
  take(reading: Reading): void {
    if (reading.atMs >= this.#script.toMs) return;
    this.#nextMs ??= reading.atMs;
    this.#evaluateBefore(reading.atMs);
    if (this.#watch.take(reading) === 'unknown point') this.#passedOver += 1;
    this.#lastReadingMs = reading.atMs;
  }

  /** Goes on to the end of the span. Alert events from `fromMs` on, in order. */
  finish(): AlertEvent[] {
    if (this.#nextMs !== null) this.#evaluateBefore(this.#script.toMs);
    return this.#events;
  }

  /** Readings of points that this boat file does not have. */
  get passedOver(): number {
    return this.#passedOver;
  }

  #evaluateBefore(untilMs: number): void {
    this.#restart(untilMs);
    while (this.#nextMs !== null && this.#nextMs < untilMs) {
      this.#hearPeople(this.#nextMs);
      const { alertEvents } = this.#watch.evaluate(this.#nextMs);
      for (const event of alertEvents) {
        if (event.atMs >= this.#script.fromMs) this.#events.push(event);
      }
      this.#nextMs += EVALUATE_EVERY_MS;
    }
  }

  /** Goes over every restart before `untilMs`: judges the silence before it, then starts anew. */
  #restart(untilMs: number): void {
    for (;;) {
      const [atMs] = this.#restarts;
      if (atMs === undefined || atMs >= untilMs) return;
      this.#restarts.shift();
      if (this.#nextMs === null || atMs <= this.#nextMs) continue;
      const heardMs = this.#lastReadingMs ?? atMs;
      this.#evaluateBefore(Math.min(atMs, heardMs + JUDGED_SILENCE_MS));
      this.#watch = createWatch(this.#boat, this.#watch.save(this.#nextMs));
      this.#nextMs = Math.max(atMs, this.#nextMs);
    }
  }

  #hearPeople(nowMs: number): void {
    for (;;) {
      const [own] = this.#panelEvents;
      if (own?.said === undefined || own.atMs > nowMs) return;
      this.#panelEvents.shift();
      const { said, part, atMs } = own;
      // What the boat file no longer knows is refused by the watch, and that is right.
      if ('mode' in said) this.#watch.setMode(said.mode, said.untilMs, said.by, atMs);
      else this.#watch.state(part, said.position, said.by, atMs);
    }
  }
}
