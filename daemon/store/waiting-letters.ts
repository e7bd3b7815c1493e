/** Joins what two batches say about letters, the later one last. The outbox keeps their number bounded. */
import type { CommitBatch } from './alert-record.ts';
import type { LetterMark } from './letters.ts';

export type LettersOfBatch = Pick<
  CommitBatch,
  'letters' | 'withdrawnLetters' | 'letterMarks' | 'savedTelling' | 'pushChanges' | 'atMs'
>;

export function mergedLetters(some: LettersOfBatch, more: LettersOfBatch): LettersOfBatch {
  const letters = joined(some.letters, more.letters);
  const withdrawnLetters = joined(some.withdrawnLetters, more.withdrawnLetters);
  const letterMarks = newestMarks(joined(some.letterMarks, more.letterMarks));
  const pushChanges = joined(some.pushChanges, more.pushChanges);
  const savedTelling = more.savedTelling ?? some.savedTelling;
  const atMs = more.atMs ?? some.atMs;
  return {
    ...(letters && { letters }),
    ...(withdrawnLetters && { withdrawnLetters }),
    ...(letterMarks && { letterMarks }),
    ...(savedTelling !== undefined && { savedTelling }),
    ...(pushChanges && { pushChanges }),
    ...(atMs !== undefined && { atMs }),
  };
}

function joined<Each>(
  some: readonly Each[] | undefined,
  more: readonly Each[] | undefined,
): readonly Each[] | undefined {
  const all = [...(some ?? []), ...(more ?? [])];
  return all.length === 0 ? undefined : all;
}

/** While the disk refuses, a letter can be tried again and again: only what came of it last counts. */
function newestMarks(marks: readonly LetterMark[] | undefined): readonly LetterMark[] | undefined {
  return marks && [...new Map(marks.map((mark) => [mark.key, mark])).values()];
}
