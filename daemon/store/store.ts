/**
 * The daemon's memory on the disk, behind one narrow interface. Two files in a folder: `alerts.db`
 * (alert events, alerts, panel events, the saved watch), where a commit is on the disk before it
 * returns, and `history.db` (readings), which may be ten seconds behind. Alerting never waits for
 * the history, and goes on in memory when neither can be written.
 */
import { mkdirSync } from 'node:fs';
import { dirname, join } from 'node:path';
import type { Alert, AlertEvent } from '../../rules/alerts/alert.ts';
import type { Reading } from '../../rules/reading.ts';
import type { SavedTelling } from '../../rules/telling/telling.ts';
import type { PanelEvent, SavedWatch } from '../../rules/watch.ts';
import type { Clock } from '../clock.ts';
import type { CommitBatch } from './alert-record.ts';
import { AlertStore, type CommitResult } from './alert-store.ts';
import type { AlertsQuery } from './alert-tables.ts';
import { alertsFile } from './alerts-file.ts';
import { type DiskSpace, SpaceGuard } from './disk-space.ts';
import { lockFolder } from './folder-lock.ts';
import { happeningsIn } from './happenings.ts';
import { historyFile } from './history-file.ts';
import { type History, type HistoryQuery, historyOf } from './history-query.ts';
import type { HistoryReader, Retention } from './history/history.ts';
import { HistoryEngine } from './history/history-engine.ts';
import type { PanelEventsQuery } from './panel-event-table.ts';
import { type AlertWithin, RecordOnAxis } from './record-on-axis.ts';
import { finishRestore } from './restore.ts';
import { bytesOf, refuseUnlessOurs, setAsideIn } from './sqlite-file.ts';
import { isCorruption, messageOf, StoreProblem } from './store-problem.ts';
import type { PushSubscriptionRow, WaitingLetter, WayRecord } from './letters.ts';
import type { Store, StoreHealth } from './store-types.ts';
import { alertOn, type Boot, isTrusted, TimeAxis } from './time-axis.ts';

export type { CommitBatch } from './alert-record.ts';
export type { CommitResult } from './alert-store.ts';
export type { AlertsQuery } from './alert-tables.ts';
export type { Bucket, History, HistoryQuery, HistorySeries } from './history-query.ts';
export type {
  Buckets,
  BucketSeries,
  BucketsQuery,
  Clip,
  HistoryInfo,
  HistoryReader,
  ReadingsQuery,
  Retention,
  Rollup,
  RollupsQuery,
  StoredReading,
  TierMs,
} from './history/history.ts';
export { lastRecordedMs } from './last-recorded.ts';
export type {
  LetterMark,
  LetterState,
  PushChange,
  PushSubscriptionRow,
  WaitingLetter,
  WayRecord,
} from './letters.ts';
export type { PanelEventsQuery } from './panel-event-table.ts';
export type { AlertWithin } from './record-on-axis.ts';
export { subscriptionsIn } from './push-subscriptions.ts';
export { StoreProblem } from './store-problem.ts';
export type { Store, StoreHealth } from './store-types.ts';
export type { Boot, ClockQuality, StoredSpan, TimeAxis } from './time-axis.ts';

/** Readings go to the disk so often: few, larger writes spare a memory card. */
const FLUSH_EVERY_MS = 10_000;
/** Filling a disk takes longer than that. */
const LOOK_AT_SPACE_EVERY_MS = 60_000;
/** A failing card must not fill the health page; the newest are kept. */
const PROBLEMS_MAX = 20;

/**
 * Opens or makes both files in `folder`. Throws StoreProblem if the folder cannot be used, or if a
 * file is from a newer version or not ours; a broken file is set aside and said in `health`.
 */
export function openStore(given: {
  folder: string;
  clock: Clock;
  log: (line: string) => void;
  /** How much room there is; asks the system by itself. */
  space?: (folder: string) => DiskSpace | null;
  /** Kept in reserve for alerts on a full disk; 0 for a folder that is soon gone. */
  ballastBytes?: number;
  /** How long single readings are kept. */
  retention?: Retention;
  /** How often a point is expected to speak: further apart there are gaps. */
  expectedEveryMs?: (pointId: string) => number | undefined;
}): Store {
  makeFolder(given.folder);
  const unlock = lockFolder(given.folder);
  try {
    return openLocked(given, unlock, finishRestore(given.folder));
  } catch (error) {
    unlock();
    throw error;
  }
}

function openLocked(
  given: Parameters<typeof openStore>[0],
  unlock: () => void,
  restored: string | null,
): Store {
  const paths = {
    alerts: join(given.folder, 'alerts.db'),
    history: join(given.folder, 'history.db'),
  };
  // Both before either is touched.
  for (const file of [alertsFile(paths.alerts), historyFile(paths.history)]) {
    try {
      refuseUnlessOurs(file);
    } catch (error) {
      // What only cannot be read now is stood in for, or tried again at every flush.
      if (!(error instanceof StoreProblem) || error.kind === 'refused') throw error;
    }
  }
  const guard = new SpaceGuard(given.folder, given.space, given.ballastBytes);
  return new SqliteStore(paths, given, guard, unlock, restored);
}

function makeFolder(folder: string): void {
  try {
    mkdirSync(folder, { recursive: true, mode: 0o700 });
  } catch (error) {
    throw new StoreProblem(
      'medium',
      `The folder ${folder} cannot be made: ${messageOf(error)}. Give a folder that this user may write to.`,
      { cause: error },
    );
  }
}

class SqliteStore implements Store {
  readonly reader: HistoryReader;
  readonly #paths: { alerts: string; history: string };
  readonly #log: (line: string) => void;
  readonly #guard: SpaceGuard;
  readonly #unlock: () => void;
  readonly #alerts: AlertStore;
  readonly #history: HistoryEngine;
  readonly #problems: string[] = [];
  #axis: TimeAxis;
  readonly #onAxis: RecordOnAxis;
  readonly #stopFlushing: () => void;
  readonly #stopLooking: () => void;
  #isClosed = false;
  #lastLogged: string | null = null;

  constructor(
    paths: { alerts: string; history: string },
    { clock, log, retention, expectedEveryMs }: Parameters<typeof openStore>[0],
    guard: SpaceGuard,
    unlock: () => void,
    restored: string | null,
  ) {
    this.#guard = guard;
    this.#unlock = unlock;
    guard.measure();
    this.#paths = paths;
    this.#log = log;
    const onProblem = (sentence: string): void => {
      this.#problems.push(sentence);
      if (this.#problems.length > PROBLEMS_MAX) this.#problems.shift();
      log(sentence);
    };
    if (restored !== null) onProblem(restored);
    this.#alerts = new AlertStore(paths.alerts, clock, onProblem, () => guard.dropBallast());
    this.#axis = new TimeAxis(this.#alerts.boots);
    this.#onAxis = new RecordOnAxis(
      () => this.#alerts.record,
      () => this.#axis,
    );
    this.#history = new HistoryEngine({
      path: paths.history,
      clock,
      onProblem,
      axis: () => this.#axis,
      isWallClockTrusted: () => this.isWallClockTrusted(),
      happenings: (fromMs) => happeningsIn(this.#alerts.record, fromMs),
      isDiskScarce: () => guard.level !== 'enough' && guard.level !== 'little',
      ...(retention && { retention }),
      ...(expectedEveryMs && { expectedEveryMs }),
    });
    this.reader = this.#history.reader;
    const missing = (this.#history.witnessedSeq() ?? 0) - this.#alerts.lastSeq;
    if (missing > 0) {
      onProblem(`${missing} alert events that were on the disk once are missing from alerts.db.`);
    }
    this.#noticeTrouble();
    this.#stopFlushing = clock.every(FLUSH_EVERY_MS, () => this.flush());
    this.#stopLooking = clock.every(LOOK_AT_SPACE_EVERY_MS, () => void guard.look());
  }

  addReading(reading: Reading): void {
    if (reading.isRestored === true) return;
    this.#history.add(reading, this.#guard.level !== 'full');
  }

  commit(batch: CommitBatch): CommitResult {
    const result = this.#alerts.commit(batch);
    this.#noticeTrouble();
    return result;
  }

  loadWatch(): SavedWatch | null {
    return this.#alerts.loadWatch();
  }

  loadTelling(): SavedTelling | null {
    return this.#alerts.record.letters.telling();
  }

  waitingLetters(): WaitingLetter[] {
    return this.#alerts.outbox.waiting;
  }

  wayRecords(): WayRecord[] {
    return this.#alerts.record.letters.ways();
  }

  lettersDropped(): number {
    return this.#alerts.outbox.dropped;
  }

  pushSubscriptions(): PushSubscriptionRow[] {
    return this.#alerts.record.letters.push();
  }

  boots(): readonly Boot[] {
    return this.#alerts.boots;
  }

  recordBoots(boots: readonly Boot[]): void {
    this.commit({ alertEvents: [], panelEvents: [], boots });
    this.#axis = new TimeAxis(this.#alerts.boots);
  }

  axis(): TimeAxis {
    return this.#axis;
  }

  onAxis(alert: Alert): Alert {
    return alertOn(this.#axis, alert);
  }

  isWallClockTrusted(): boolean {
    return isTrusted(this.#alerts.boots);
  }

  lastSeq(): number {
    return this.#alerts.lastSeq;
  }

  alerts(query: AlertsQuery): Alert[] {
    return this.#onAxis.alerts(query);
  }

  recordedOpen(): Alert[] {
    return this.#alerts.record.alerts.open();
  }

  alert(id: string): Alert | null {
    return this.#onAxis.alert(id);
  }

  alertEvents(id: string): AlertEvent[] {
    return this.#onAxis.alertEvents(id);
  }

  panelEvents(query: PanelEventsQuery): PanelEvent[] {
    return this.#onAxis.panelEvents(query);
  }

  alertsWithin(fromMs: number, toMs: number, limit: number): AlertWithin[] {
    return this.#onAxis.alertsWithin(fromMs, toMs, limit);
  }

  sourceEvents(fromMs: number, toMs: number, limit: number): PanelEvent[] {
    return this.#onAxis.sourceEvents(fromMs, toMs, limit);
  }

  sourceEventsBefore(atMs: number): PanelEvent[] {
    return this.#onAxis.sourceEventsBefore(atMs);
  }

  history(query: HistoryQuery, signal?: AbortSignal): Promise<History> {
    const answer = historyOf(this.reader, query, signal);
    return answer.catch((error: unknown) => {
      // Opening the file again checks it, and sets it aside if it is broken.
      if (isCorruption(error)) this.#history.distrust();
      throw error;
    });
  }

  upkeep(isAll = false): Promise<void> {
    this.flush();
    return this.#history.upkeep(isAll);
  }

  flush(): void {
    this.#alerts.retry();
    // The room that is left is for alerts.
    if (this.#guard.level !== 'full') this.#history.flush(this.#alerts.lastDurableSeq);
    this.#noticeTrouble();
  }

  health(): StoreHealth {
    const now = [this.#alerts.lastError, this.#history.lastError].filter((each) => each !== null);
    return {
      isWritable: now.length === 0,
      alertsFile: this.#paths.alerts,
      historyFile: this.#paths.history,
      bytes: bytesOf(this.#paths.alerts) + this.#history.bytes,
      readingsStored: this.#history.stored,
      readingsBuffered: this.#history.waiting,
      readingsLost: this.#history.lost,
      lastFlushAtMs: this.#history.lastFlushAtMs,
      lastError: now.length === 0 ? null : now.join('; '),
      freeBytes: this.#guard.space?.freeBytes ?? null,
      totalBytes: this.#guard.space?.totalBytes ?? null,
      space: this.#guard.level,
      filesSetAside: setAsideIn(dirname(this.#paths.alerts)),
      problems: [
        ...this.#problems,
        ...this.#unreadable(),
        ...now.map(refuses),
        ...[this.#guard.sentence(), this.#journalTrouble(), this.#watchTrouble()].filter(
          (each) => each !== null,
        ),
      ],
    };
  }

  close(): void {
    if (this.#isClosed) return;
    this.#isClosed = true;
    this.#stopFlushing();
    this.#stopLooking();
    this.#history.stop();
    this.flush();
    if (this.#history.waiting > 0) {
      this.#log(`${this.#history.waiting} readings could not be written.`);
    }
    if (this.#alerts.isWaiting) this.#log('The last alert events could not be written.');
    this.#alerts.close();
    this.#history.close();
    this.#unlock();
  }

  #journalTrouble(): string | null {
    const { journalError } = this.#alerts;
    if (journalError === null) return null;
    return `Alert events are on the disk once instead of twice: ${journalError}.`;
  }

  #watchTrouble(): string | null {
    const { watchCopyError: error } = this.#alerts;
    if (error === null) return null;
    return `What the rules remember is on the disk once instead of twice: ${error}.`;
  }

  #unreadable(): string[] {
    const { unreadable } = this.#alerts.record;
    const { damagedChunks } = this.#history;
    return [
      ...(unreadable === 0
        ? []
        : [`${CHANGED} alerts.db says: ${unreadable} rows could not be read.`]),
      ...(damagedChunks === 0
        ? []
        : [`${CHANGED} history.db says: ${damagedChunks} pieces could not be read.`]),
    ];
  }

  /** Says once when the disk begins to refuse, and once when it is well again. */
  #noticeTrouble(): void {
    const { lastError } = this.health();
    if (lastError === this.#lastLogged) return;
    this.#log(lastError === null ? 'The disk takes writes again.' : refuses(lastError));
    this.#lastLogged = lastError;
  }
}

const CHANGED = 'The disk has changed what';

function refuses(error: string): string {
  return `The disk refuses: ${error}.`;
}
