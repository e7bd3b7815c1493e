/**
 * What the boat said last, kept in this browser, so that a page that starts without the boat shows
 * it, greyed out and with its age. Never read while the boat answers.
 */
import type { Alert, BoatAnswer, PanelState } from '../daemon/api/contract.ts';

const KEPT_AS = 'panelward.last-known';

export interface LastKnown {
  /** By this browser's clock, the only one that runs on while the boat is out of reach. */
  keptAtMs: number;
  boat: BoatAnswer | null;
  panel: PanelState;
  alerts: readonly Alert[];
}

/** Keeps it in place of what was kept before. */
export function keepLastKnown(known: Omit<LastKnown, 'keptAtMs'>): void {
  try {
    localStorage.setItem(KEPT_AS, JSON.stringify({ ...known, keptAtMs: Date.now() }));
  } catch {
    // Storage forbidden or full: the page then starts empty without the boat, and says so.
  }
}

/** Null: nothing was kept, or it cannot be read. */
export function readLastKnown(): LastKnown | null {
  try {
    const text = localStorage.getItem(KEPT_AS);
    // oxlint-disable-next-line typescript/no-unsafe-type-assertion -- only `keepLastKnown` writes it
    return text === null ? null : (JSON.parse(text) as LastKnown);
  } catch {
    return null;
  }
}

/** Throws it away: where the page failed on it, it must not fail again at the next start. */
export function forgetLastKnown(): void {
  try {
    localStorage.removeItem(KEPT_AS);
  } catch {
    // Storage forbidden: then nothing was kept either.
  }
}
