/** Chooses between the two copies of what the rules remember, and keeps the second one up to date. */
import type { SavedWatch } from '../../rules/watch.ts';
import { isFileError, messageOf } from './store-problem.ts';
import { WatchCopy } from './watch-copy.ts';
import type { NumberedWatch, WatchRow } from './watch-row.ts';

/** Saves in which nothing happened go into the second copy so often: it spares a memory card. */
const COPY_QUIET_SAVES_EVERY_MS = 300_000;

export interface ChosenWatch {
  watch: SavedWatch | null;
  /** The largest number in either copy; 0 if there is none. */
  number: number;
  /** What was wrong, as whole sentences for the health page. */
  sentences: string[];
}

export class KeptWatch {
  readonly #copy: WatchCopy;
  #copiedAtMs: number | null = null;
  /** What the disk said last of the second copy; null while that is well. */
  error: string | null = null;

  constructor(path: string) {
    this.#copy = new WatchCopy(path);
  }

  /** The newer of the copies that are whole. */
  choose(row: WatchRow): ChosenWatch {
    return chosen(row.get(), this.#copy.read());
  }

  /**
   * Call once the first copy is on the disk. Never throws what the file system says: that the second
   * cannot be made takes nothing from the first.
   */
  saved(kept: NumberedWatch, isQuiet: boolean, nowMs: number): void {
    const isRecent =
      this.#copiedAtMs !== null && nowMs - this.#copiedAtMs < COPY_QUIET_SAVES_EVERY_MS;
    if (isQuiet && isRecent && this.error === null) return;
    try {
      this.#copy.write(kept);
      this.#copiedAtMs = nowMs;
      this.error = null;
    } catch (error) {
      if (!isFileError(error)) throw error;
      this.error = messageOf(error);
    }
  }
}

type Read = NumberedWatch | 'damaged' | null;

function chosen(row: Read, copy: Read): ChosenWatch {
  const [first, second] = [row, copy].map((read) => (read === 'damaged' ? null : read));
  const isCopyNewer = second != null && second.number > (first?.number ?? -1);
  const newest = isCopyNewer ? second : (first ?? null);
  return {
    watch: newest?.watch ?? null,
    number: Math.max(first?.number ?? 0, second?.number ?? 0),
    sentences: sentencesOn(row, copy, isCopyNewer),
  };
}

function sentencesOn(row: Read, copy: Read, isCopyNewer: boolean): string[] {
  const isAnyWhole = [row, copy].some((read) => read !== null && read !== 'damaged');
  if (!isAnyWhole && (row === 'damaged' || copy === 'damaged')) {
    return [
      'What the rules remember was damaged and no whole copy of it is left: they learn it anew. The alerts themselves are kept.',
    ];
  }
  if (isCopyNewer) {
    const why = row === 'damaged' ? 'was damaged in' : 'was missing from';
    return [`What the rules remember ${why} alerts.db; it was taken from its second copy.`];
  }
  if (copy === 'damaged') {
    return ['The second copy of what the rules remember was damaged; it is made anew.'];
  }
  return [];
}
