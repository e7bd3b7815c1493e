/**
 * Letters that have not gone yet, in memory as on the disk: what the disk refuses must leave the boat
 * all the same. Bounded; what has to be dropped for that is counted and shown.
 */
import { PRIORITIES } from '../../rules/index.ts';
import type { Letter } from '../../rules/index.ts';
import type { LetterMark, WaitingLetter } from './letters.ts';

const LETTERS_MAX = 5000;
const BYTES_MAX = 10_000_000;

export class Outbox {
  readonly #waiting = new Map<string, WaitingLetter>();
  #bytes = 0;
  /** Letters dropped because there was no more room, since start. */
  dropped = 0;

  /** In the order in which they were written. */
  get waiting(): WaitingLetter[] {
    return [...this.#waiting.values()];
  }

  get size(): number {
    return this.#waiting.size;
  }

  has(key: string): boolean {
    return this.#waiting.has(key);
  }

  /** What a record that has just been opened holds. */
  load(letters: readonly WaitingLetter[]): void {
    for (const waiting of letters) this.#put(waiting);
  }

  /** Marks of those that had to be dropped for it: the least urgent, of them the oldest. */
  add(letters: readonly Letter[], nowMs: number): LetterMark[] {
    for (const letter of letters) {
      if (this.has(letter.key)) continue;
      this.#put({ letter, attempts: 0, nextTryAtMs: letter.dueAtMs, problem: null });
    }
    return this.#keepBounded(nowMs);
  }

  withdraw(keys: readonly string[]): void {
    for (const key of keys) this.#remove(key);
  }

  mark({ key, state, attempts, nextTryAtMs, problem }: LetterMark): void {
    const waiting = this.#waiting.get(key);
    if (waiting === undefined) return;
    if (state === 'waiting') Object.assign(waiting, { attempts, nextTryAtMs, problem });
    else this.#remove(key);
  }

  #put(waiting: WaitingLetter): void {
    this.#waiting.set(waiting.letter.key, waiting);
    this.#bytes += bytesOf(waiting.letter);
  }

  #remove(key: string): void {
    const waiting = this.#waiting.get(key);
    if (waiting === undefined) return;
    this.#waiting.delete(key);
    this.#bytes -= bytesOf(waiting.letter);
  }

  #keepBounded(nowMs: number): LetterMark[] {
    const isTooMuch = (): boolean => this.size > LETTERS_MAX || this.#bytes > BYTES_MAX;
    if (!isTooMuch()) return [];
    // Stable: of one priority the oldest stay in front.
    const leastUrgentFirst = this.waiting.sort((a, b) => rankOf(b.letter) - rankOf(a.letter));
    const marks: LetterMark[] = [];
    for (const { letter, attempts } of leastUrgentFirst) {
      if (!isTooMuch()) break;
      this.#remove(letter.key);
      this.dropped += 1;
      marks.push({
        key: letter.key,
        state: 'given up',
        atMs: nowMs,
        attempts,
        nextTryAtMs: nowMs,
        problem: 'There was no more room for letters that wait.',
        answer: null,
      });
    }
    return marks;
  }
}

/** 0 is the most urgent. */
function rankOf({ priority }: Letter): number {
  return PRIORITIES.indexOf(priority);
}

/** Roughly, as JSON: two bytes a character outside of ASCII hardly occur. */
function bytesOf({ key, headline, text }: Letter): number {
  return 300 + key.length + headline.length + text.length;
}
