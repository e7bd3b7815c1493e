/**
 * A power cut, made of what a process did to its files (the shim's record). The model: a sync makes
 * everything that was written to its file before it durable. Of what was written since, each write
 * may have reached the disk, or not, or in part: any of its 512-byte sectors, in any order between
 * writes. Names (creating, removing, renaming) are a journal of the file system: a beginning of
 * them is there, and at least up to the last sync of any file. Not covered: a card that lies about
 * syncs, that damages what was written long ago, or that puts garbage into a sector it was writing.
 */
import { mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { basename, dirname, join, relative } from 'node:path';

const SECTOR = 512;

export interface Change {
  op: 'create' | 'write' | 'truncate' | 'sync' | 'remove' | 'rename';
  path: string;
  /** Where it was written; the new length of a truncated file. */
  offset: number;
  /** What was written; the new path of a renamed file. */
  bytes: Buffer;
}

const OPS = ['create', 'write', 'truncate', 'sync', 'remove', 'rename'] as const;

/** Reads what the shim recorded. */
export function changesIn(recordPath: string): Change[] {
  const record = readFileSync(recordPath);
  const changes: Change[] = [];
  for (let at = 0; at < record.length;) {
    const end = record.indexOf(0x0a, at);
    const words = record.toString('utf8', at, end).split(' ');
    const op = OPS.find((each) => each === words[0]);
    const path = words[1];
    if (op === undefined || path === undefined) throw new Error(`no change: ${words.join(' ')}`);
    const length = Number(words[3]);
    const bytes = record.subarray(end + 1, end + 1 + length);
    changes.push({ op, path, offset: Number(words[2]), bytes });
    at = end + 1 + length;
  }
  return changes;
}

/** A file as it may be found: what is durable, then what may or may not have come. */
class CutFile {
  #bytes: Buffer;
  readonly #pending: Change[] = [];

  constructor(durable: Buffer = Buffer.alloc(0)) {
    this.#bytes = durable;
  }

  note(change: Change): void {
    this.#pending.push(change);
  }

  sync(): void {
    for (const change of this.#pending) this.#apply(change);
    this.#pending.length = 0;
  }

  /** What the disk holds after the cut. */
  found(random: () => number): Buffer {
    for (const change of this.#pending) {
      const luck = random();
      if (luck < 0.4) continue;
      if (luck < 0.7 || change.op === 'truncate') this.#apply(change);
      else this.#tear(change, random);
    }
    return this.#bytes;
  }

  #apply({ op, offset, bytes }: Change): void {
    if (op === 'truncate') this.#bytes = resized(this.#bytes, offset);
    else if (op === 'write') {
      if (this.#bytes.length < offset + bytes.length) {
        this.#bytes = resized(this.#bytes, offset + bytes.length);
      }
      bytes.copy(this.#bytes, offset);
    }
  }

  /** Only some sectors of it came. */
  #tear(change: Change, random: () => number): void {
    let at = 0;
    while (at < change.bytes.length) {
      const end = Math.min(change.bytes.length, at + SECTOR - ((change.offset + at) % SECTOR));
      if (random() < 0.5) {
        this.#apply({
          op: 'write',
          path: change.path,
          offset: change.offset + at,
          bytes: change.bytes.subarray(at, end),
        });
      }
      at = end;
    }
  }
}

function resized(bytes: Buffer, length: number): Buffer {
  const copy = Buffer.alloc(length);
  bytes.copy(copy, 0, 0, Math.min(length, bytes.length));
  return copy;
}

/** What was on the disk before the first change, by path, where that was anything. */
export interface Before {
  /** Files keep their places below it; without it all are put into one folder. */
  root: string;
  files: ReadonlyMap<string, Buffer>;
}

/**
 * Makes in `folder` what is found if the power goes after the first `count` changes. Shared memory
 * (`-shm`) is gone.
 */
export function cutPower(
  changes: readonly Change[],
  count: number,
  folder: string,
  random: () => number,
  from?: Before,
): void {
  const before = changes.slice(0, count);
  const lastSync = before.findLastIndex(({ op }) => op === 'sync');
  // Names that are sure, and then some of those that are not.
  const isName = ({ op }: Change): boolean => op !== 'write' && op !== 'truncate' && op !== 'sync';
  const unsure = before.slice(lastSync + 1).filter(isName);
  const kept = new Set(unsure.slice(0, Math.floor(random() * (unsure.length + 1))));
  const files = new Map(
    Array.from(from?.files ?? [], ([path, bytes]) => [path, new CutFile(bytes)] as const),
  );
  const names = new Map(files);
  for (const [index, change] of before.entries()) {
    const isThere = index <= lastSync || !isName(change) || kept.has(change);
    follow(change, files, isThere ? names : null);
  }
  rmSync(folder, { recursive: true, force: true });
  for (const [path, file] of names) {
    if (path.endsWith('-shm')) continue;
    const at = join(folder, from ? relative(from.root, path) : basename(path));
    mkdirSync(dirname(at), { recursive: true });
    writeFileSync(at, file.found(random));
  }
}

/** `files`: as the process sees them. `names`: as the disk has them; null: it has not heard of this. */
function follow(
  change: Change,
  files: Map<string, CutFile>,
  names: Map<string, CutFile> | null,
): void {
  const { op, path } = change;
  const file = files.get(path) ?? new CutFile();
  switch (op) {
    case 'create':
      files.set(path, file);
      names?.set(path, file);
      break;
    case 'write':
    case 'truncate':
      file.note(change);
      break;
    case 'sync':
      file.sync();
      break;
    case 'remove':
      files.delete(path);
      names?.delete(path);
      break;
    case 'rename': {
      const to = change.bytes.toString('utf8');
      files.delete(path);
      files.set(to, file);
      names?.delete(path);
      names?.set(to, file);
    }
  }
}
