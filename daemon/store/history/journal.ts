/**
 * What keeps readings safe until they are in a chunk. Two files take turns. When chunks have taken
 * an hour over, what they have not taken is written to the other file as a whole, and only the frame
 * that completes it makes that file the one that counts. So at every instant at least one of them
 * holds everything, whenever the power goes. Reading a journal twice, or one whose readings are in
 * chunks already, changes nothing: a reading of the same point and instant is the same reading.
 */
import { DamagedBytes } from './bytes.ts';
import type { StoredReading } from './history.ts';
import { packReadings, unpackReadings } from './journal-frame.ts';
import { type Frame, JournalWriter, readFrames } from './journal-file.ts';

/** Readings in one frame at most. */
const FRAME_READINGS = 20_000;

export interface Replayed {
  /** As they came. */
  readings: StoredReading[];
  /** Pieces that could not be read: some ten seconds each. */
  damaged: number;
}

export class Journal {
  readonly #paths: readonly [string, string];
  #writer: JournalWriter | null = null;
  /** The next generation is written to the file of this place. */
  #place: 0 | 1 = 0;
  #generation = 0;
  #earlierBytes = 0;

  constructor(path: string) {
    this.#paths = journalPaths(path);
  }

  /** Bytes handed to the disk, since start. */
  get bytesWritten(): number {
    return this.#earlierBytes + (this.#writer?.bytesWritten ?? 0);
  }

  get isFull(): boolean {
    return this.#writer?.isFull ?? false;
  }

  /**
   * What the files hold from before; before anything is written. Throws what the system says.
   * The older file counts only where the newer is not complete.
   */
  replay(): Replayed {
    const files = this.#paths.map((path) => readFrames(path));
    const generations = files.map(([first]) => first?.generation ?? 0);
    const newest = (generations[1] ?? 0) > (generations[0] ?? 0) ? 1 : 0;
    this.#generation = generations[newest] ?? 0;
    this.#place = newest === 0 ? 1 : 0;
    const isWhole = files[newest]?.some(({ isComplete }) => isComplete) ?? false;
    const counting = [isWhole ? [] : (files[this.#place] ?? []), files[newest] ?? []];
    const replayed: Replayed = { readings: [], damaged: 0 };
    for (const frames of counting) addFrames(replayed, frames);
    return replayed;
  }

  /** On the disk when it returns. */
  append(readings: readonly StoredReading[]): void {
    if (this.#writer === null) throw new Error('a journal must be begun first');
    for (let from = 0; from < readings.length; from += FRAME_READINGS) {
      this.#writer.append(packReadings(readings.slice(from, from + FRAME_READINGS)), false);
    }
  }

  get isBegun(): boolean {
    return this.#writer !== null;
  }

  /**
   * Goes on in the other file, which from now on holds `kept` and what will be appended; what else
   * the present file holds is given up. After an error the present one goes on.
   */
  begin(kept: readonly StoredReading[]): void {
    const generation = this.#generation + 1;
    const writer = new JournalWriter(this.#paths[this.#place], generation);
    try {
      for (let from = 0; from + FRAME_READINGS < kept.length; from += FRAME_READINGS) {
        writer.append(packReadings(kept.slice(from, from + FRAME_READINGS)), false);
      }
      const rest = kept.slice(
        Math.floor(Math.max(0, kept.length - 1) / FRAME_READINGS) * FRAME_READINGS,
      );
      writer.append(packReadings(rest), true);
    } catch (error) {
      writer.close();
      throw error;
    }
    this.close();
    this.#writer = writer;
    this.#generation = generation;
    this.#place = this.#place === 0 ? 1 : 0;
  }

  close(): void {
    this.#earlierBytes = this.bytesWritten;
    this.#writer?.close();
    this.#writer = null;
  }
}

/** The two files beside a database. */
export function journalPaths(databasePath: string): [string, string] {
  // Not behind the whole name: `history.db-journal` would be SQLite's own.
  const base = databasePath.replace(/\.db$/, '');
  return [`${base}.journal-1`, `${base}.journal-2`];
}

function addFrames(replayed: Replayed, frames: readonly Frame[]): void {
  let next = 0;
  for (const { sequence, body } of frames) {
    replayed.damaged += Math.max(0, sequence - next);
    next = sequence + 1;
    try {
      for (const reading of unpackReadings(body)) replayed.readings.push(reading);
    } catch (error) {
      if (!(error instanceof DamagedBytes)) throw error;
      replayed.damaged += 1;
    }
  }
}
