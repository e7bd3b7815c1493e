/**
 * The history of readings at work: takes them, keeps them safe in a journal every ten seconds, and
 * once an hour lets them become chunks. Nothing here throws for what a disk does: readings wait in
 * memory, the health page says why, and what no memory can hold is counted as lost.
 */
import { setImmediate as turn } from 'node:timers/promises';
import type { Reading } from '../../../rules/reading.ts';
import type { Clock } from '../../clock.ts';
import { HistoryFile } from '../history-file.ts';
import { ReadingBuffer } from '../reading-buffer.ts';
import { bytesOf } from '../sqlite-file.ts';
import { isFileError, messageOf } from '../store-problem.ts';
import type { TimeAxis } from '../time-axis.ts';
import type { Happening } from './clips.ts';
import {
  DEFAULT_RETENTION,
  type HistoryInfo,
  type HistoryReader,
  type Retention,
} from './history.ts';
import { coverageOf, keptIn } from './information.ts';
import { Journal, journalPaths } from './journal.ts';
import { Reader } from './reader.ts';
import { Recent } from './recent.ts';
import { slowGapMs } from './rollup.ts';
import { Snapshots } from './snapshots.ts';
import { DAY_MS, HOUR_MS } from './tables.ts';
import { upkeep } from './upkeep.ts';

/** Readings in one frame of the journal. */
const FLUSH_READINGS = 20_000;
/** Some 25 minutes of sixty points a second, at about 20 MB. */
const WAITING_MAX = 100_000;
/** Two hours of sixty points a second, at about 10 MB; then an hour becomes chunks unfinished. */
const RECENT_MAX = 500_000;
/** What arrives late still gets into its hour the first time. */
const GRACE_MS = 30_000;
const RETRY_MS = 60_000;

export interface EngineOptions {
  /** Of `history.db`; the journal stands beside it. */
  path: string;
  clock: Clock;
  /** Hears whole sentences that must stay on the health page. */
  onProblem: (sentence: string) => void;
  axis: () => TimeAxis;
  /** Nothing is deleted by age while this is false. */
  isWallClockTrusted: () => boolean;
  /** Alerts and changes of source from a stored instant on: what clips are kept of. */
  happenings: (fromMs: number) => readonly Happening[];
  /** The disk is nearly full: old readings give way. */
  isDiskScarce?: () => boolean;
  /** How often a point is expected to speak; undefined: nobody knows. */
  expectedEveryMs?: (pointId: string) => number | undefined;
  retention?: Retention;
}

export class HistoryEngine {
  readonly reader: HistoryReader;
  readonly #reader: Reader;
  readonly #options: EngineOptions;
  readonly #file: HistoryFile;
  readonly #journal: Journal;
  readonly #snapshots: Snapshots;
  readonly #recent = new Recent();
  readonly #waiting = new ReadingBuffer(WAITING_MAX);
  #journalError: string | null = null;
  #working: Promise<void> | null = null;
  #isClosed = false;
  #nextUpkeepMs = -Infinity;
  #witnessed: number | null = null;
  #tooOld = 0;
  /** Since start. */
  stored = 0;
  damagedChunks = 0;
  lastFlushAtMs: number | null = null;

  constructor(options: EngineOptions) {
    this.#options = options;
    const onDamage = (): void => {
      this.damagedChunks += 1;
    };
    this.#snapshots = new Snapshots(options.path, onDamage);
    this.#file = new HistoryFile(options.path, options.onProblem, onDamage, () =>
      this.#snapshots.forget(),
    );
    this.#journal = new Journal(options.path);
    const reader = new Reader({
      snapshots: this.#snapshots,
      recent: this.#recent,
      waiting: () => this.#waiting.oldest(Infinity),
      axis: options.axis,
      slowMsOf: (id) => this.#slowMsOf(id),
    });
    this.#reader = reader;
    this.reader = {
      buckets: (query, signal) => reader.buckets(query, signal),
      readings: (query, signal) => reader.readings(query, signal),
      rollups: (query, signal) => reader.rollups(query, signal),
      clips: (query) => reader.clips(query),
      points: () => reader.points(),
      info: () => this.#info(),
    };
    this.#replay();
    // Brings its tables up to date before anybody reads.
    this.#file.use(() => true);
  }

  /** What the disk said last, while it refuses. */
  get lastError(): string | null {
    const errors = [this.#file.lastError, this.#journalError].filter((each) => each !== null);
    return errors.length === 0 ? null : errors.join('; ');
  }

  get waiting(): number {
    return this.#waiting.size;
  }

  /** Readings that no disk will ever see, since start. */
  get lost(): number {
    return this.#waiting.lost + this.#tooOld;
  }

  /** Of the database, its log and the journal. */
  get bytes(): number {
    const journal = journalPaths(this.#options.path).map((path) => bytesOf(path));
    return this.#file.bytes + journal.reduce((sum, bytes) => sum + bytes, 0);
  }

  /** Last alert event that was seen on the disk; null: not known. */
  witnessedSeq(): number | null {
    return this.#file.use((parts) => parts.witnessedSeq() ?? 0);
  }

  /** Never throws. `mayWrite`: there is room on the disk. */
  add(reading: Reading, mayWrite: boolean): void {
    this.#waiting.add(reading);
    // While the disk refuses, only the timer tries, or every reading would.
    if (!mayWrite || this.#waiting.size < FLUSH_READINGS || this.lastError !== null) return;
    this.#writeJournal();
  }

  /** Writes what waits to the journal, and begins what is due. */
  flush(lastAlertSeq: number): void {
    if (this.#witnessed !== lastAlertSeq || !this.#file.isOpen) {
      const isNoted = this.#file.use((parts) => parts.witness(lastAlertSeq)) !== null;
      this.#witnessed = isNoted ? lastAlertSeq : null;
    }
    this.#writeJournal();
    if (this.#isClosed) return;
    const isFull = this.#recent.size >= RECENT_MAX;
    if (this.#options.clock.nowMs() >= this.#nextUpkeepMs || isFull) void this.upkeep(isFull);
  }

  /**
   * Does what is due once an hour: chunks, rollups, clips, deletions. `isAll`: the hour that is not
   * over becomes chunks too, so that the database alone holds everything. Resolves when it is done
   * or the disk has refused.
   */
  upkeep(isAll = false): Promise<void> {
    if (this.#isClosed) return Promise.resolve();
    this.#working ??= this.#work(isAll).finally(() => {
      this.#working = null;
    });
    return this.#working;
  }

  async #info(): Promise<HistoryInfo> {
    const points = this.#reader.points();
    const lastMs = this.#options.clock.nowMs() + DAY_MS;
    const days = await this.#reader.rollups({
      points,
      fromMs: 0,
      toMs: lastMs,
      tierMs: 86_400_000,
    });
    const kept = this.#file.use((parts) => keptIn(parts));
    let firstMs = kept?.firstMs ?? Infinity;
    let newestMs = kept?.lastMs ?? -Infinity;
    for (const { atMs } of this.#recent.all()) {
      firstMs = Math.min(firstMs, atMs);
      newestMs = Math.max(newestMs, atMs);
    }
    const readings = kept?.readings ?? 0;
    return {
      firstMs: Number.isFinite(firstMs) ? firstMs : null,
      lastMs: Number.isFinite(newestMs) ? newestMs : null,
      readings: readings + this.#recent.size,
      readingsPruned: kept?.readingsPruned ?? 0,
      bytes: this.bytes,
      bytesPerReading: readings === 0 ? null : (kept?.usedBytes ?? 0) / readings,
      coverage: coverageOf(days, newestMs),
      clips: kept?.clips ?? 0,
      oldestClipMs: kept?.oldestClipMs ?? null,
      prunedBeforeMs: kept?.prunedBeforeMs ?? null,
      damagedChunks: this.damagedChunks,
      oldRows: kept?.oldRows ?? 0,
    };
  }

  /** The file may be broken: looks at it again before it is used again. */
  distrust(): void {
    this.#file.close();
  }

  /** Begins no more work. Flush and `close` come after it. */
  stop(): void {
    this.#isClosed = true;
  }

  /** Closes the files. What still waits is lost, and counted. */
  close(): void {
    this.stop();
    this.#waiting.giveUp();
    this.#journal.close();
    this.#file.close();
  }

  #replay(): void {
    try {
      const { readings, damaged } = this.#journal.replay();
      for (const reading of readings) this.#recent.add(reading);
      if (damaged === 0) return;
      this.#options.onProblem(
        `${damaged} pieces of the journal of readings, some ten seconds each, could not be read.`,
      );
    } catch (error) {
      if (!isFileError(error)) throw error;
      this.#options.onProblem(`The journal of readings could not be read: ${messageOf(error)}.`);
    }
  }

  #writeJournal(): void {
    if (this.#waiting.size === 0) return;
    try {
      if (!this.#journal.isBegun) this.#journal.begin([...this.#recent.all()]);
      while (this.#waiting.size > 0) {
        if (this.#journal.isFull) {
          this.#journalError = 'the journal is full, because history.db takes nothing from it';
          return;
        }
        const readings = this.#waiting.oldest(FLUSH_READINGS);
        this.#journal.append(readings);
        for (const reading of readings) this.#recent.add(reading);
        this.#waiting.remove(readings);
        this.stored += readings.length;
        this.lastFlushAtMs = this.#options.clock.nowMs();
      }
      this.#journalError = null;
    } catch (error) {
      if (!isFileError(error)) throw error;
      this.#journalError = `history journal: ${messageOf(error)}`;
    }
  }

  #slowMsOf(pointId: string): number {
    return slowGapMs(this.#options.expectedEveryMs?.(pointId) ?? 0);
  }

  async #work(isAll: boolean): Promise<void> {
    const nowMs = this.#options.clock.nowMs();
    const beforeHour = isAll ? Infinity : Math.floor((nowMs - GRACE_MS) / HOUR_MS);
    this.#nextUpkeepMs = nowMs + RETRY_MS;
    const parts = this.#file.use((each) => each);
    if (parts === null || this.#isClosed) return;
    try {
      for (const _ of upkeep(parts, this.#upkeepParts(beforeHour, nowMs))) {
        await turn();
        // Closed by us, or because a reader found it broken.
        if (this.#isClosed || !parts.db.open) return;
      }
      this.#nextUpkeepMs = (Math.floor((nowMs - GRACE_MS) / HOUR_MS) + 1) * HOUR_MS + GRACE_MS;
    } catch (error) {
      if (isFileError(error)) this.#journalError = `history journal: ${messageOf(error)}`;
      else this.#file.refused(error);
    }
  }

  #upkeepParts(beforeHour: number, nowMs: number) {
    const { retention, isWallClockTrusted, isDiskScarce, axis, happenings } = this.#options;
    return {
      recent: this.#recent,
      beforeHour: Math.min(beforeHour, Math.floor(nowMs / HOUR_MS) + 1),
      happenings,
      slowMsOf: (id: string) => this.#slowMsOf(id),
      onChunked: () => this.#journal.begin([...this.#recent.all()]),
      onTooOld: (readings: number) => {
        this.#tooOld += readings;
      },
      limits: () => ({
        retention: retention ?? DEFAULT_RETENTION,
        nowMs,
        presentMsOf: isWallClockTrusted() ? (ms: number) => axis().presentMsOf(ms) : null,
        isDiskScarce: isDiskScarce?.() ?? false,
      }),
    };
  }
}
