/** How well the page hears the boat. Pure. Ages here are real time, whatever speed a demo runs at. */

/** After so long without a word, everything on the page counts as old. */
export const SILENT_AFTER_MS = 10_000;
/** Numbers change at most once in this time, so that they can be read. */
export const SHOW_EVERY_MS = 2_000;

export type LinkState = 'connecting' | 'live' | 'asking' | 'lost' | 'never' | 'remembered';

export interface Hearing {
  /** Since the boat was last heard; null: not yet. */
  heardAgoMs: number | null;
  /** Since the page began to listen. */
  waitedMs: number;
  /** Whether the last word came over the live stream or because the page asked for it. */
  via: 'stream' | 'asking';
  /** What is shown was kept from an earlier visit. */
  isRemembered: boolean;
}

/** Nothing shown can be relied on. */
export function isOldAt(state: LinkState): boolean {
  return state === 'lost' || state === 'never' || state === 'remembered';
}

/** How the page stands to the boat; `isOldAt` says which of these can be relied on. */
export function linkState({ heardAgoMs, waitedMs, via, isRemembered }: Hearing): LinkState {
  if (heardAgoMs === null && isRemembered) return 'remembered';
  if (heardAgoMs === null) return waitedMs >= SILENT_AFTER_MS ? 'never' : 'connecting';
  if (heardAgoMs >= SILENT_AFTER_MS) return 'lost';
  return via === 'stream' ? 'live' : 'asking';
}

/** Younger than this the age of what is shown says nothing. */
export const AGE_FROM_MS = 4_000;

/** An age in whole seconds, ms; 0 while it is not worth a word, so that nothing is drawn for it. */
export function agoShown(ms: number): number {
  return ms < AGE_FROM_MS ? 0 : Math.floor(ms / 1000) * 1000;
}
