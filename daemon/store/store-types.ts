/** What the store offers to the rest of the daemon. Types only; `openStore` in store.ts is behind them. */
import type { Alert, AlertEvent } from '../../rules/alerts/alert.ts';
import type { Reading } from '../../rules/reading.ts';
import type { SavedTelling } from '../../rules/telling/telling.ts';
import type { PanelEvent, SavedWatch } from '../../rules/watch.ts';
import type { CommitBatch } from './alert-record.ts';
import type { CommitResult } from './alert-store.ts';
import type { AlertsQuery } from './alert-tables.ts';
import type { SpaceLevel } from './disk-space.ts';
import type { History, HistoryQuery } from './history-query.ts';
import type { HistoryReader } from './history/history.ts';
import type { PanelEventsQuery } from './panel-event-table.ts';
import type { AlertWithin } from './record-on-axis.ts';
import type { PushSubscriptionRow, WaitingLetter, WayRecord } from './letters.ts';
import type { Boot, TimeAxis } from './time-axis.ts';

export interface StoreHealth {
  /** False while either file refuses. */
  isWritable: boolean;
  alertsFile: string;
  historyFile: string;
  /** Of both files with their logs. */
  bytes: number;
  /** Since start. */
  readingsStored: number;
  readingsBuffered: number;
  /** Readings that no disk will ever see, since start. */
  readingsLost: number;
  lastFlushAtMs: number | null;
  /** What the disk said last, while it refuses. */
  lastError: string | null;
  /** Of the file system, for this user; null where it does not say. */
  freeBytes: number | null;
  totalBytes: number | null;
  space: SpaceLevel;
  /** Broken files that were set aside and are still there. */
  filesSetAside: number;
  /** Whole sentences: what went wrong with the files since start, and what is wrong now. */
  problems: string[];
}

export interface Store {
  /** Takes a reading for the history; it is on the disk within ten seconds. Never throws. */
  addReading(reading: Reading): void;
  /**
   * Writes alert events, panel events and the watch in one transaction; when it returns
   * `isDurable`, they outlive a power cut. When the disk refuses, they wait in memory, are tried
   * again with the next commit and every ten seconds, and the problem is for the person who asked.
   * Throws only when an event's number is not the last one plus one.
   */
  commit(batch: CommitBatch): CommitResult;
  /**
   * The watch as it was committed last, from the newer of its two copies that are whole; null in a
   * new record, or where neither is.
   */
  loadWatch(): SavedWatch | null;
  /** What `Telling` committed last; null in a new record, or where it cannot be read. */
  loadTelling(): SavedTelling | null;
  /** Letters that have not gone yet, in the order in which they were written. */
  waitingLetters(): WaitingLetter[];
  /** How letters have fared by each way that any was for. */
  wayRecords(): WayRecord[];
  /** Letters dropped because there was no more room for them, since start. */
  lettersDropped(): number;
  pushSubscriptions(): PushSubscriptionRow[];
  /** The starts of the daemon as they are known now, oldest first; see time-axis.ts. */
  boots(): readonly Boot[];
  /** Records a new boot, or puts others right: each takes the place of the one of its number. */
  recordBoots(boots: readonly Boot[]): void;
  /** Where present instants are stored. Instants that the store gives and takes are present ones. */
  axis(): TimeAxis;
  /** An alert of the watch with its instants on that axis: it may have been raised boots ago. */
  onAxis(alert: Alert): Alert;
  /** Deleting by age is allowed. */
  isWallClockTrusted(): boolean;
  /** Number of the last alert event that was committed; the next is one more. 0 in a new record. */
  lastSeq(): number;
  /** Newest raised first. */
  alerts(query: AlertsQuery): Alert[];
  alert(id: string): Alert | null;
  /** Open alerts on the daemon's clock as it was then, as the watch knows them; oldest first. */
  recordedOpen(): Alert[];
  /** What befell one alert, oldest first; of more than a thousand events the newest thousand. */
  alertEvents(id: string): AlertEvent[];
  /** Newest first. */
  panelEvents(query: PanelEventsQuery): PanelEvent[];
  /** Alerts that overlap a span, at most the newest `limit`, newest first. */
  alertsWithin(fromMs: number, toMs: number, limit: number): AlertWithin[];
  /** Changes of sources in a span, at most the newest `limit`, oldest first. */
  sourceEvents(fromMs: number, toMs: number, limit: number): PanelEvent[];
  /** Of each part the last change of its feed and the last of its voltage before an instant. */
  sourceEventsBefore(atMs: number): PanelEvent[];
  /**
   * Includes readings that are not on the disk yet. Rejects when `signal` aborts, and with what
   * SQLite says when the file cannot be read.
   */
  history(query: HistoryQuery, signal?: AbortSignal): Promise<History>;
  /** Charts, single readings, rollups, clips, and what is kept. */
  readonly reader: HistoryReader;
  /**
   * Does now what is done once an hour: readings of the hours that are over become chunks and
   * rollups, and what is too old is deleted. `isAll`: the present hour becomes chunks too, so that
   * `history.db` holds everything without its journal (before a backup).
   */
  upkeep(isAll?: boolean): Promise<void>;
  /** Writes everything that waits now. */
  flush(): void;
  health(): StoreHealth;
  /** Writes what waits and closes both files. */
  close(): void;
}
