/**
 * Room on the disk, and what is given up as it runs out: first a word (90 %), then old readings
 * (95 %), then the writing of readings (98 %), and last of all a file that was kept for this, so
 * that alerts can still be written. SQLite cannot even delete rows on a disk that is full.
 */
import { closeSync, fsyncSync, openSync, rmSync, statfsSync, statSync, writeSync } from 'node:fs';
import { join } from 'node:path';

export interface DiskSpace {
  /** Bytes that this user may still write. */
  freeBytes: number;
  /** Size of the file system, bytes. */
  totalBytes: number;
}

/** How scarce room is. `full`: readings are not written any more. */
export type SpaceLevel = 'enough' | 'little' | 'scarce' | 'full';

/**
 * Above this share in use and below so many bytes free; both, because a tenth of a large disk is
 * plenty and five gigabytes of a small card may be most of it.
 */
const LEVELS = [
  { level: 'full', usedRatio: 0.98, freeBytes: 1 * 1024 ** 3 },
  { level: 'scarce', usedRatio: 0.95, freeBytes: 2 * 1024 ** 3 },
  { level: 'little', usedRatio: 0.9, freeBytes: 4 * 1024 ** 3 },
] as const;

const BALLAST_FILE = 'ballast';
/** Thousands of alerts, or the hour that it takes to notice. */
export const BALLAST_BYTES = 16 * 1024 * 1024;
const MEBIBYTE = 1024 * 1024;

export function spaceLevel({ freeBytes, totalBytes }: DiskSpace): SpaceLevel {
  const usedRatio = totalBytes === 0 ? 0 : 1 - freeBytes / totalBytes;
  const reached = LEVELS.find((each) => usedRatio >= each.usedRatio && freeBytes < each.freeBytes);
  return reached?.level ?? 'enough';
}

/** Null where the folder is away or the system does not say. */
export function spaceOf(folder: string): DiskSpace | null {
  try {
    const { bavail, blocks, bsize } = statfsSync(folder);
    return { freeBytes: bavail * bsize, totalBytes: blocks * bsize };
  } catch {
    return null;
  }
}

/** Watches the room in one folder and keeps the ballast there. */
export class SpaceGuard {
  readonly #folder: string;
  readonly #ask: (folder: string) => DiskSpace | null;
  readonly #ballastBytes: number;
  #space: DiskSpace | null = null;
  #level: SpaceLevel = 'enough';

  constructor(
    folder: string,
    ask: (folder: string) => DiskSpace | null = spaceOf,
    ballastBytes: number = BALLAST_BYTES,
  ) {
    this.#folder = folder;
    this.#ask = ask;
    this.#ballastBytes = ballastBytes;
  }

  get level(): SpaceLevel {
    return this.#level;
  }

  get space(): DiskSpace | null {
    return this.#space;
  }

  /** Looks again, and touches nothing. */
  measure(): SpaceLevel {
    this.#space = this.#ask(this.#folder);
    this.#level = this.#space === null ? 'enough' : spaceLevel(this.#space);
    return this.#level;
  }

  /** Looks again; makes the ballast when there is room for it, and drops it when there is none. */
  look(): SpaceLevel {
    this.measure();
    if (this.#level === 'full') this.dropBallast();
    else if (this.#level === 'enough') this.#makeBallast();
    return this.#level;
  }

  /** True if there was ballast to drop. */
  dropBallast(): boolean {
    try {
      const hadBytes = this.#ballastSize() > 0;
      rmSync(join(this.#folder, BALLAST_FILE), { force: true });
      return hadBytes;
    } catch {
      // A disk that cannot be written has no use for the room either.
      return false;
    }
  }

  /** A whole sentence while room is short. */
  sentence(): string | null {
    if (this.#space === null || this.#level === 'enough') return null;
    const free = `${(this.#space.freeBytes / 1e9).toFixed(1)} GB`;
    switch (this.#level) {
      case 'little':
        return `The disk is nearly full: ${free} are left. Make room, or the history will have to give way.`;
      case 'scarce':
        return `The disk is nearly full: ${free} are left. Old readings are deleted to make room.`;
      case 'full':
        return `The disk is full: ${free} are left. Readings are not written any more; alerts still are.`;
    }
  }

  #ballastSize(): number {
    return statSync(join(this.#folder, BALLAST_FILE), { throwIfNoEntry: false })?.size ?? 0;
  }

  /** Written out in full: a file of holes would keep no room. */
  #makeBallast(): void {
    if (this.#ballastBytes === 0) return;
    const path = join(this.#folder, BALLAST_FILE);
    try {
      if (this.#ballastSize() >= this.#ballastBytes) return;
      const file = openSync(path, 'w', 0o600);
      try {
        const block = Buffer.alloc(MEBIBYTE);
        for (let done = 0; done < this.#ballastBytes; done += MEBIBYTE) writeSync(file, block);
        fsyncSync(file);
      } finally {
        closeSync(file);
      }
    } catch {
      // No room for it after all: what little it took goes back.
      this.dropBallast();
    }
  }
}
