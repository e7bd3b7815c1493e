/**
 * One journal file: frames one behind the other, each with a checksum, each starting on a page of
 * its own, so that writing one never touches a page that holds another. The file has its full size
 * from the start: writing then changes no length and needs no new block, so that it works on a disk
 * that has become full, and a sync writes the frame's page and nothing else.
 */
import {
  closeSync,
  existsSync,
  fdatasyncSync,
  fsyncSync,
  fstatSync,
  openSync,
  readFileSync,
  writeSync,
} from 'node:fs';
import { dirname } from 'node:path';
import { crc32 } from 'node:zlib';

const PAGE_BYTES = 4096;
const HEADER_BYTES = 28;
const MAGIC = 0x316a7750;
/** Some eighty minutes of frames. Beyond it the file grows. */
const FULL_BYTES = 2 * 1024 * 1024;
/** Beyond it nothing is taken: hours of a database that does not take what is in the journal. */
export const JOURNAL_BYTES_MAX = 32 * 1024 * 1024;

export interface Frame {
  /** Which use of the two files it belongs to; higher is newer. */
  generation: number;
  /** From 0 in each generation. */
  sequence: number;
  /** With it the file holds everything that the one before it held and that still counts. */
  isComplete: boolean;
  body: Uint8Array;
}

/** Frames of the newest generation in the file, in order; what is damaged is left out. */
export function readFrames(path: string): Frame[] {
  if (!existsSync(path)) return [];
  const bytes = readFileSync(path);
  const frames: Frame[] = [];
  let at = 0;
  while (at + HEADER_BYTES <= bytes.length) {
    const frame = frameAt(bytes, at);
    if (frame !== null) frames.push(frame);
    at += frame === null ? PAGE_BYTES : pagesOf(frame.body.length);
  }
  const newest = frames.reduce((most, { generation }) => Math.max(most, generation), 0);
  return frames.filter(({ generation }) => generation === newest);
}

function pagesOf(bodyBytes: number): number {
  return Math.ceil((HEADER_BYTES + bodyBytes) / PAGE_BYTES) * PAGE_BYTES;
}

function frameAt(bytes: Buffer, at: number): Frame | null {
  if (bytes.readUInt32LE(at) !== MAGIC) return null;
  const header = bytes.subarray(at, at + HEADER_BYTES - 4);
  if (crc32(header) !== bytes.readUInt32LE(at + HEADER_BYTES - 4)) return null;
  const start = at + HEADER_BYTES;
  const body = bytes.subarray(start, start + header.readUInt32LE(16));
  if (body.length !== header.readUInt32LE(16) || crc32(body) !== header.readUInt32LE(20)) {
    return null;
  }
  return {
    generation: header.readUInt32LE(4),
    sequence: header.readUInt32LE(8),
    isComplete: header.readUInt32LE(12) === 1,
    body,
  };
}

/** Writes one generation, from the file's beginning. Every method throws what the system says. */
export class JournalWriter {
  readonly #file: number;
  readonly #generation: number;
  #sequence = 0;
  #at = 0;
  /** Bytes handed to the disk, since it was made. */
  bytesWritten = 0;

  constructor(path: string, generation: number) {
    this.#generation = generation;
    this.#file = openSync(path, existsSync(path) ? 'r+' : 'w+', 0o600);
    try {
      this.#fill(path);
    } catch (error) {
      closeSync(this.#file);
      throw error;
    }
  }

  get isFull(): boolean {
    return this.#at >= JOURNAL_BYTES_MAX;
  }

  /** On the disk when it returns; after an error nothing of it counts. */
  append(body: Uint8Array, isComplete: boolean): void {
    const frame = Buffer.alloc(HEADER_BYTES + body.length);
    frame.writeUInt32LE(MAGIC, 0);
    frame.writeUInt32LE(this.#generation, 4);
    frame.writeUInt32LE(this.#sequence, 8);
    frame.writeUInt32LE(isComplete ? 1 : 0, 12);
    frame.writeUInt32LE(body.length, 16);
    frame.writeUInt32LE(crc32(body), 20);
    frame.writeUInt32LE(crc32(frame.subarray(0, 24)), 24);
    frame.set(body, HEADER_BYTES);
    this.#write(frame, this.#at);
    fdatasyncSync(this.#file);
    this.#sequence += 1;
    this.#at += pagesOf(body.length);
  }

  close(): void {
    closeSync(this.#file);
  }

  #fill(path: string): void {
    const missing = FULL_BYTES - fstatSync(this.#file).size;
    if (missing <= 0) return;
    this.#write(Buffer.alloc(missing), FULL_BYTES - missing);
    fsyncSync(this.#file);
    syncFolder(dirname(path));
  }

  #write(bytes: Buffer, at: number): void {
    for (let done = 0; done < bytes.length;) {
      done += writeSync(this.#file, bytes, done, bytes.length - done, at + done);
    }
    this.bytesWritten += bytes.length;
  }
}

/** A new file is only there after a power cut if its folder says so. */
function syncFolder(path: string): void {
  const folder = openSync(path, 'r');
  try {
    fsyncSync(folder);
  } finally {
    closeSync(folder);
  }
}
