/** What the record keeps of letters on their way off the boat. Types only; see outbox.ts. */
import type { Letter } from '../../rules/telling/letter.ts';

export type LetterState =
  | 'waiting'
  /** Somebody at the other end has said that it is there. */
  | 'sent'
  /** Refused for good, out of date, or dropped because there was no more room; `problem` says which. */
  | 'given up'
  /** What it says was over before it could go. */
  | 'withdrawn'
  /** A digest went in its place; `answer` is the digest's key. */
  | 'in a digest';

/** What came of trying to send a letter. A mark that is written twice changes nothing. */
export interface LetterMark {
  key: string;
  state: Exclude<LetterState, 'withdrawn'>;
  atMs: number;
  /** How often it was tried. */
  attempts: number;
  /** Not tried again before; of a letter that still waits. */
  nextTryAtMs: number;
  /** Whole sentence; null where all went well. */
  problem: string | null;
  /** What the other end said. */
  answer: string | null;
}

/** A letter that is not sent yet. */
export interface WaitingLetter {
  readonly letter: Letter;
  attempts: number;
  nextTryAtMs: number;
  problem: string | null;
}

/** How letters by one way have fared. */
export interface WayRecord {
  way: string;
  waiting: number;
  lastSentAtMs: number | null;
  /** What the other end said then. */
  lastAnswer: string | null;
  lastTriedAtMs: number | null;
  /** Of the last try; null if that went well. */
  lastProblem: string | null;
  givenUp: number;
}

/** A browser that wants to be told, as it said so itself (Push API, `PushSubscription.toJSON`). */
export interface PushSubscriptionRow {
  endpoint: string;
  keys: { p256dh: string; auth: string };
  /** Contact whose letters go there. */
  contact: string;
  addedAtMs: number;
}

/** Adds a subscription or puts it right; null takes it away. */
export interface PushChange {
  endpoint: string;
  subscription: PushSubscriptionRow | null;
}
