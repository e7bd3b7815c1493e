/**
 * When a boat is overdue: a pure function of (memory, beats, the watcher's own time). Counts only
 * time in which the watcher really listened, so that its own absence is never the boat's silence.
 * One silence is told once, said again after an hour and then daily, and its end is told once.
 */
import type { Heard } from './beat.ts';

export interface Expectation {
  everyMs: number;
  /** So many intervals without a beat and she is overdue. */
  overdueBeats: number;
  /** Spans in which nobody expects to hear from her, UTC ms. */
  offline: readonly { fromMs: number; toMs: number }[];
}

/** What the watcher knows of one boat. Plain JSON, kept over its restarts. */
export interface BoatMemory {
  /** Last beat that was let in; null: never heard. */
  last: Heard | null;
  /** Of the last step. */
  atMs: number;
  /** Since when she is watched. */
  watchedSinceMs: number;
  /** Listened for without a beat, ms; the watcher's own absences are not in it. */
  unheardMs: number;
  /** Listened for since the watcher started, ms. */
  listenedMs: number;
  /** Null unless her silence has been told. */
  silence: Silence | null;
}

export interface Silence {
  /** When she was last heard, or first listened for. */
  sinceMs: number;
  /** How often it has been told. */
  times: number;
  /** When it is said again. */
  nextAtMs: number;
}

export type News =
  | { type: 'overdue' | 'still silent'; silence: Silence; last: Heard | null; atMs: number }
  | { type: 'back'; silence: Silence; last: Heard | null; heard: Heard; atMs: number };

export interface Step {
  memory: BoatMemory;
  news: News | null;
}

const SAY_AGAIN_MS = 3_600_000;
const THEN_EVERY_MS = 24 * 3_600_000;

export const newMemory = (nowMs: number): BoatMemory => ({
  last: null,
  atMs: nowMs,
  watchedSinceMs: nowMs,
  unheardMs: 0,
  listenedMs: 0,
  silence: null,
});

/** The memory of a watcher that listens again from now on. */
export const resumed = (memory: BoatMemory, nowMs: number): BoatMemory => ({
  ...memory,
  atMs: nowMs,
  listenedMs: 0,
});

/** What she herself said last about her interval counts too, if it is longer. */
export function everyMsOf(memory: BoatMemory, { everyMs }: Expectation): number {
  return Math.max(everyMs, (memory.last?.beat.everySeconds ?? 0) * 1000);
}

/** Lets time pass up to `nowMs`, in which no beat was let in. */
export function waits(memory: BoatMemory, expected: Expectation, nowMs: number): Step {
  const everyMs = everyMsOf(memory, expected);
  // Who slept through a step has not listened all that time.
  const passedMs = Math.min(Math.max(0, nowMs - memory.atMs), everyMs / 2);
  const isOff = isExpectedOffline(expected, nowMs);
  const next: BoatMemory = {
    ...memory,
    atMs: Math.max(memory.atMs, nowMs),
    unheardMs: isOff ? 0 : memory.unheardMs + passedMs,
    listenedMs: memory.listenedMs + passedMs,
  };
  if (isOff) return { memory: next, news: null };
  const { silence } = next;
  if (silence) return nowMs < silence.nextAtMs ? { memory: next, news: null } : again(next, nowMs);
  const isOverdue = next.unheardMs >= expected.overdueBeats * everyMs;
  // After its own start the watcher gives her one whole interval before it speaks.
  if (!isOverdue || next.listenedMs < everyMs) return { memory: next, news: null };
  const sinceMs = next.last?.receivedAtMs ?? next.watchedSinceMs;
  const told = { sinceMs, times: 1, nextAtMs: nowMs + SAY_AGAIN_MS };
  return tell(next, { type: 'overdue', silence: told, last: next.last, atMs: nowMs });
}

/** Takes a beat that was let in. `waits` comes first, up to the same instant. */
export function hears(memory: BoatMemory, heard: Heard): Step {
  const next: BoatMemory = {
    ...memory,
    last: heard,
    unheardMs: 0,
    silence: null,
  };
  const { silence, last } = memory;
  if (!silence) return { memory: next, news: null };
  const news: News = { type: 'back', silence, last, heard, atMs: heard.receivedAtMs };
  return { memory: next, news };
}

export type Standing = 'heard' | 'overdue' | 'expected offline' | 'not heard yet';

/** How it stands with her, for the list. */
export function standingOf(memory: BoatMemory, expected: Expectation): Standing {
  if (memory.silence) return 'overdue';
  if (isExpectedOffline(expected, memory.atMs)) return 'expected offline';
  return memory.last ? 'heard' : 'not heard yet';
}

function isExpectedOffline({ offline }: Expectation, atMs: number): boolean {
  return offline.some(({ fromMs, toMs }) => fromMs <= atMs && atMs < toMs);
}

function again(memory: BoatMemory, nowMs: number): Step {
  const { silence, last } = memory;
  if (!silence) return { memory, news: null };
  const told = { ...silence, times: silence.times + 1, nextAtMs: nowMs + THEN_EVERY_MS };
  return tell(memory, { type: 'still silent', silence: told, last, atMs: nowMs });
}

const tell = (memory: BoatMemory, news: News): Step => ({
  memory: { ...memory, silence: news.silence },
  news,
});
