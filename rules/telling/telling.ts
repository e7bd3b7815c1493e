/**
 * Who is told of what, when and in which words. Alert events and time in, letters out: pure, and
 * plain JSON to keep. What it remembers is saved in the transaction of the events that changed it,
 * so a restart at any point writes no letter twice and loses none.
 */
import type { Mode } from '../alerts/alert.ts';
import type { PanelState } from '../panel/panel-state.ts';
import type { AlertEvent } from '../alerts/alert.ts';
import type { Letter } from './letter.ts';

export interface TellingNow {
  nowMs: number;
  mode: Mode;
  panel: PanelState;
  /** What has to be added to `nowMs` to have UTC; default 0. Only the words and quiet hours use it. */
  utcOffsetMs?: number;
}

export interface Tellings {
  /** To be kept in the outbox, in the transaction of the events. */
  letters: Letter[];
  /** Keys of earlier letters that are true no more: whoever holds them unsent need not send them. */
  withdrawn: string[];
  /** What `save` gives has changed and must be kept. */
  isChanged: boolean;
}

export interface Telling {
  /** Takes what has just happened, and lets time pass; to be called at every evaluation. */
  take(alertEvents: readonly AlertEvent[], now: TellingNow): Tellings;
  /** Plain JSON. */
  save(): SavedTelling;
}

/** Its shape is its own business. */
export interface SavedTelling {
  version: number;
  [memory: string]: unknown;
}
