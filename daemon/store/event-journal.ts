/**
 * A second copy of every alert event, in a plain file that only grows: one line an event, with a
 * checksum. A page of `alerts.db` may be overwritten by a failing card, or its log cut short in the
 * middle, and no alert is gone as long as the same has not befallen the line here.
 */
import {
  closeSync,
  fdatasyncSync,
  fstatSync,
  openSync,
  readFileSync,
  readSync,
  writeSync,
} from 'node:fs';
import { crc32 } from 'node:zlib';
import type { AlertEvent } from '../../rules/alerts/alert.ts';
import { isFileError } from './store-problem.ts';

/** Read from the end to find the last number; some forty events. */
const TAIL_BYTES = 65_536;
const NEWLINE = 0x0a;

export class EventJournal {
  readonly #path: string;
  #file: number | null = null;

  constructor(path: string) {
    this.#path = path;
  }

  /** Returns once they are on the disk. Throws what the file system says. */
  append(events: readonly AlertEvent[]): void {
    if (events.length === 0) return;
    try {
      this.#file ??= openAtLineStart(this.#path);
      const bytes = Buffer.from(events.map(lineOf).join(''));
      for (let done = 0; done < bytes.length;) done += writeSync(this.#file, bytes, done);
      fdatasyncSync(this.#file);
    } catch (error) {
      // The next one begins on a line of its own.
      this.close();
      throw error;
    }
  }

  /** Number of the last event in it that can be read, from its end; 0 if there is none. */
  lastSeq(): number {
    const tail = tailOf(this.#path);
    const seqs = eventsIn(tail).map(({ seq }) => seq);
    return Math.max(0, ...seqs);
  }

  /** All events that can be read, in the order they were written. */
  events(): AlertEvent[] {
    try {
      return eventsIn(readFileSync(this.#path, 'utf8'));
    } catch (error) {
      if (isFileError(error)) return [];
      throw error;
    }
  }

  close(): void {
    if (this.#file === null) return;
    try {
      closeSync(this.#file);
    } catch (error) {
      if (!isFileError(error)) throw error;
    }
    this.#file = null;
  }
}

function lineOf(event: AlertEvent): string {
  const text = JSON.stringify(event);
  return `${crc32(text).toString(16).padStart(8, '0')} ${text}\n`;
}

/** A line that was cut or changed is left out; its neighbours are not. */
function eventsIn(text: string): AlertEvent[] {
  return text.split('\n').flatMap((line) => {
    const json = line.slice(9);
    if (json === '' || line.slice(0, 8) !== crc32(json).toString(16).padStart(8, '0')) return [];
    const event: AlertEvent = JSON.parse(json);
    return [event];
  });
}

/** A write that a power cut has torn leaves half a line; what follows must not be part of it. */
function openAtLineStart(path: string): number {
  const file = openSync(path, 'a+', 0o600);
  const { size } = fstatSync(file);
  const last = Buffer.alloc(1);
  if (size > 0) readSync(file, last, 0, 1, size - 1);
  if (size > 0 && last[0] !== NEWLINE) writeSync(file, '\n');
  return file;
}

function tailOf(path: string): string {
  let file: number | null = null;
  try {
    file = openSync(path, 'r');
    const { size } = fstatSync(file);
    const tail = Buffer.alloc(Math.min(size, TAIL_BYTES));
    readSync(file, tail, 0, tail.length, size - tail.length);
    return tail.toString('utf8');
  } catch (error) {
    if (isFileError(error)) return '';
    throw error;
  } finally {
    if (file !== null) closeSync(file);
  }
}
