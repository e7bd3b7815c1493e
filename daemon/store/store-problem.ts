/** What can go wrong with a file of the store, sorted by what is to be done about it. */
import Database from 'better-sqlite3';

/**
 * A file cannot be opened. The message is for whoever starts the daemon. `refused`: it is a newer
 * or foreign file or somebody else has it, and going on would do harm. `medium`: the disk or the
 * folder says no.
 */
export class StoreProblem extends Error {
  override readonly name = 'StoreProblem';
  readonly kind: 'refused' | 'medium';

  constructor(kind: 'refused' | 'medium', message: string, options?: ErrorOptions) {
    super(message, options);
    this.kind = kind;
  }
}

/** The medium refuses: full, read-only, an I/O error, no memory. It may heal by itself. */
export function isMediumError(error: unknown): boolean {
  return /^SQLITE_(FULL|READONLY|CANTOPEN|IOERR|BUSY|LOCKED|PERM|PROTOCOL|NOMEM)/.test(
    codeOf(error),
  );
}

/** The bytes on the disk are no longer what SQLite wrote. It does not heal. */
export function isCorruption(error: unknown): boolean {
  return /^SQLITE_(CORRUPT|NOTADB)/.test(codeOf(error));
}

/** Not our mistake: something to count, show and try again, never to stop for. */
export function isOperatingError(error: unknown): boolean {
  return error instanceof StoreProblem || isMediumError(error) || isCorruption(error);
}

/** What the system says of a file that is not SQLite's to open. */
export function isFileError(error: unknown): error is NodeJS.ErrnoException {
  return error instanceof Error && 'syscall' in error;
}

/** No room for what was to be written. */
export function isFull(error: unknown): boolean {
  return codeOf(error).startsWith('SQLITE_FULL');
}

/** The file can be read, but not written. */
export function isReadOnly(error: unknown): boolean {
  return codeOf(error).startsWith('SQLITE_READONLY');
}

/** Somebody else holds the file. */
export function isBusy(error: unknown): boolean {
  return codeOf(error).startsWith('SQLITE_BUSY');
}

/** SQLite's name of the error; empty for what is not SQLite's. */
export function codeOf(error: unknown): string {
  return error instanceof Database.SqliteError ? error.code : '';
}

export function messageOf(error: unknown): string {
  const text = error instanceof Error ? error.message : String(error);
  const code = codeOf(error);
  return code === '' ? text : `${text} (${code})`;
}

export function closeQuietly(db: Database.Database | undefined): void {
  try {
    db?.close();
  } catch {
    // It is being given up because it is broken; that closing fails too says nothing new.
  }
}
