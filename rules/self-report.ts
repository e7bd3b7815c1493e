/**
 * What panelward knows of its own health, as its rules see it: plain JSON, told to the watch by
 * whoever has the disk, the clock and the network. A fact that is left out is not known: it neither
 * raises nor clears. Replays have none, so they tell nothing of panelward itself.
 */
export interface SelfReport {
  /** When it was found out, ms of the daemon's clock; what is older than a minute is not known. */
  atMs: number;
  record?: { isWritable: boolean; lastError: string | null };
  disk?: { space: 'enough' | 'little' | 'scarce' | 'full'; freeBytes: number | null };
  /** Whether anybody has vouched for the wall clock since this start. */
  clock?: { isSynchronised: boolean };
  /** 99th percentile of how late the event loop was, real ms. */
  loopLagMs?: number;
  /** Age of the oldest letter that is due and has not gone, ms; null: none waits. */
  letters?: { oldestDueMs: number | null };
  /** What readings come in by; `marineData` null: the boat uses none. */
  links?: { mqtt: Link; marineData: Link | null };
  /** Of the computer, where it tells. */
  power?: { isUndervoltage: boolean; isThrottled: boolean };
  /** Of the page; days until it is no longer valid, below 0 after. */
  certificate?: { daysLeft: number };
  /** Wrong passwords and codes at the page within the last hour. */
  signIns?: { failedInHour: number };
}

export interface Link {
  /** For a person: its address. */
  address: string;
  isConnected: boolean;
}

export const SELF_REPORT_STALE_MS = 60_000;
