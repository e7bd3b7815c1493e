/** A way out: one letter in, what came of it out. */
import type { Letter } from '../../rules/index.ts';

export type Outcome =
  /** The other end has said that it is there; `answer` in its words. */
  { answer: string } | Refusal;

export interface Refusal {
  /** What stood in the way: the second half of a sentence, without a full stop. */
  problem: string;
  /** Trying again is of no use: whoever is there will say the same again. */
  isFinal: boolean;
  /** The other end asks not to be called again before. */
  retryAfterMs?: number;
}

export interface Way {
  readonly id: string;
  readonly kind: string;
  /** Never rejects for what a network can do. `signal` ends it: nobody waits any more. */
  send(letter: Letter, signal: AbortSignal): Promise<Outcome>;
}

/** Try again later. */
export function later(problem: string, retryAfterMs?: number): Refusal {
  return { problem, isFinal: false, ...(retryAfterMs !== undefined && { retryAfterMs }) };
}

/** Do not try again. */
export function never(problem: string): Refusal {
  return { problem, isFinal: true };
}

const LONGEST_WORDS = 300;

/** What somebody else said, as part of a sentence: one line, bounded, without control characters. */
export function spoken(text: string): string {
  const line = text.replaceAll(/[\p{Cc}\p{Zl}\p{Zp}]+/gu, ' ').trim();
  return line.length > LONGEST_WORDS ? `${line.slice(0, LONGEST_WORDS)}…` : line;
}

/** What a library or the system threw, in words and codes of the system. */
export function wordsOf(error: unknown): string {
  if (!(error instanceof Error)) return spoken(String(error));
  // Node gathers what befell each address of a host.
  const [first] = error instanceof AggregateError ? error.errors : [];
  const { message } = first instanceof Error ? first : error;
  return spoken(message === '' ? error.name : message);
}
