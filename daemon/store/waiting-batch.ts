/** What was handed in for the record and is not on the disk yet, in order; bounded. */
import type { AlertRecord, CommitBatch } from './alert-record.ts';
import type { WaitingLetter } from './letters.ts';
import type { Boot } from './time-axis.ts';
import { mergedLetters } from './waiting-letters.ts';

/** Alert and panel events that wait for a disk that refuses; beyond it the oldest are lost. */
const WAITING_MAX = 10_000;

export class WaitingBatch {
  #batch: CommitBatch = { alertEvents: [], panelEvents: [] };

  get batch(): CommitBatch {
    return this.#batch;
  }

  get isEmpty(): boolean {
    const { alertEvents: _alerts, panelEvents: _panel, ...rest } = this.#batch;
    return this.isQuiet && Object.keys(rest).length === 0;
  }

  /** Nothing happened: at most the watch is to be saved, or a boot. */
  get isQuiet(): boolean {
    const { alertEvents, panelEvents } = this.#batch;
    return alertEvents.length === 0 && panelEvents.length === 0;
  }

  /** Number of the first event that waits. */
  get firstSeq(): number | undefined {
    return this.#batch.alertEvents[0]?.seq;
  }

  add(batch: CommitBatch): void {
    const savedWatch = batch.savedWatch ?? this.#batch.savedWatch;
    const boots = mergedBoots(this.#batch.boots, batch.boots);
    this.#batch = {
      alertEvents: [...this.#batch.alertEvents, ...batch.alertEvents],
      panelEvents: [...this.#batch.panelEvents, ...batch.panelEvents],
      ...(savedWatch && { savedWatch }),
      ...(boots && { boots }),
      ...mergedLetters(this.#batch, batch),
    };
  }

  clear(): void {
    this.#batch = { alertEvents: [], panelEvents: [] };
  }

  /** A commit whose last sync failed was refused, and can be on the disk all the same. */
  forgetWhatArrived(record: AlertRecord, lastDurableSeq: number): void {
    const { alertEvents, panelEvents } = this.#batch;
    this.#batch = {
      ...this.#batch,
      alertEvents: alertEvents.filter(({ seq }) => seq > lastDurableSeq),
      panelEvents: panelEvents.filter((event) => !record.panelEvents.has(event)),
    };
  }

  /** A record that was begun anew knows nothing of them yet. */
  setBoots(boots: readonly Boot[]): void {
    this.#batch = { ...this.#batch, boots };
  }

  /** A record that was begun anew, or salvaged, may have none of them. */
  setLetters(waiting: readonly WaitingLetter[]): void {
    const inBatch = this.#batch.letters ?? [];
    const keys = new Set(inBatch.map(({ key }) => key));
    const others = waiting.map(({ letter }) => letter).filter(({ key }) => !keys.has(key));
    this.#batch = { ...this.#batch, letters: [...others, ...inBatch] };
  }

  /** Drops the oldest beyond what memory may hold; true if it dropped any. */
  keepBounded(): boolean {
    const { alertEvents, panelEvents } = this.#batch;
    if (alertEvents.length <= WAITING_MAX && panelEvents.length <= WAITING_MAX) return false;
    this.#batch = {
      ...this.#batch,
      alertEvents: alertEvents.slice(-WAITING_MAX),
      panelEvents: panelEvents.slice(-WAITING_MAX),
    };
    return true;
  }
}

/** Each boot once, a later one in place of an earlier one, in order of their start. */
export function mergedBoots(
  some: readonly Boot[] | undefined,
  more: readonly Boot[] | undefined,
): readonly Boot[] | undefined {
  if (some === undefined || more === undefined) return more ?? some;
  const byNumber = new Map([...some, ...more].map((boot) => [boot.number, boot]));
  return [...byNumber.values()].sort((a, b) => a.startsAtMs - b.startsAtMs || a.number - b.number);
}
