/**
 * The second copy of what the rules remember: a file of its own beside `alerts.db`, replaced as a
 * whole (written beside, synced, renamed), so that a cut leaves the old one or the new one. It holds
 * a line with number and checksum, then the compressed text: what is saved again and again must
 * not wear out a memory card.
 */
import { closeSync, fsyncSync, openSync, readFileSync, renameSync, writeSync } from 'node:fs';
import { dirname } from 'node:path';
import { deflateRawSync, inflateRawSync } from 'node:zlib';
import { checksumOf, type NumberedWatch, parsedWatch } from './watch-row.ts';
import { isFileError } from './store-problem.ts';

const HEAD = /^watch (\d{1,15}) ([0-9a-f]{8})$/;

export class WatchCopy {
  readonly #path: string;

  constructor(path: string) {
    this.#path = path;
  }

  /** Returns once it is on the disk. Throws what the file system says; then the old copy stands. */
  write({ number, watch }: NumberedWatch): void {
    const text = JSON.stringify(watch);
    const crc = checksumOf(number, text).toString(16).padStart(8, '0');
    const bytes = Buffer.concat([
      Buffer.from(`watch ${number} ${crc}\n`),
      deflateRawSync(Buffer.from(text)),
    ]);
    const beside = `${this.#path}.new`;
    const file = openSync(beside, 'w', 0o600);
    try {
      for (let done = 0; done < bytes.length;) done += writeSync(file, bytes, done);
      fsyncSync(file);
    } finally {
      closeSync(file);
    }
    renameSync(beside, this.#path);
    syncFolder(dirname(this.#path));
  }

  /** Null where there is none; a file that cannot be read counts as damaged. */
  read(): NumberedWatch | 'damaged' | null {
    try {
      return watchIn(readFileSync(this.#path)) ?? 'damaged';
    } catch (error) {
      if (!isFileError(error)) throw error;
      return error.code === 'ENOENT' ? null : 'damaged';
    }
  }
}

function watchIn(bytes: Buffer): NumberedWatch | null {
  const end = bytes.indexOf(0x0a);
  const [, number, crc] = HEAD.exec(bytes.toString('latin1', 0, Math.max(0, end))) ?? [];
  if (number === undefined || crc === undefined) return null;
  const text = inflated(bytes.subarray(end + 1));
  if (text === null || checksumOf(Number(number), text) !== Number.parseInt(crc, 16)) return null;
  const watch = parsedWatch(text);
  return watch === null ? null : { number: Number(number), watch };
}

/** Larger than any boat's memory; what a damaged file asks for must not fill the computer's. */
const TEXT_BYTES_MAX = 64 * 1024 * 1024;

function inflated(bytes: Buffer): string | null {
  try {
    return inflateRawSync(bytes, { maxOutputLength: TEXT_BYTES_MAX }).toString('utf8');
  } catch {
    return null;
  }
}

/** A new name is on the disk only when its folder is. */
function syncFolder(path: string): void {
  const folder = openSync(path, 'r');
  try {
    fsyncSync(folder);
  } finally {
    closeSync(folder);
  }
}
