/**
 * The watch: readings and time in, panel state and alert events out. Deterministic, no clock, no
 * I/O; the same inputs in the same order give the same outputs live, in a test and over history.
 */
import type { Alert, AlertEvent } from './alerts/alert.ts';
import type { Boat, PartId } from './boat/boat.ts';
import type { PanelState } from './panel/panel-state.ts';
import type { Reading, Silence } from './reading.ts';

/** Something that happened at the panel and belongs in the record, though nobody has to act. */
export interface PanelEvent {
  atMs: number;
  type: 'source changed' | 'position changed' | 'source live' | 'source dead';
  part: PartId;
  /** Whole sentence. */
  text: string;
}

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
