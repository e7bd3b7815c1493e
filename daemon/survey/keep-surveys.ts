/** Surveys what is over, a piece at a time, while the daemon has nothing better to do. */
import type { Boat } from '../../rules/index.ts';
import type { Clock } from '../clock.ts';
import type { Store } from '../store/store.ts';
import { SurveyCache } from './survey-cache.ts';
import { SurveyDesk } from './survey-desk.ts';

/** A piece is an hour or, of longer ago, a day. */
const EVERY_MS = 300_000;
/** Single readings are kept for thirteen months. */
const SINCE_MS = 396 * 86_400_000;

export interface Surveys {
  desk: SurveyDesk;
  /** Resolves when nothing reads the store any more. */
  stop(): Promise<void>;
}

export function keepSurveys(given: {
  boat: Boat;
  clock: Clock;
  store: Pick<Store, 'reader' | 'axis'>;
  /** Of the file with the surveys. */
  path: string;
  log: (line: string) => void;
}): Surveys {
  const { boat, clock, store, log } = given;
  const cache = new SurveyCache(given.path);
  const desk = new SurveyDesk({
    boat,
    reader: store.reader,
    axis: () => store.axis(),
    nowMs: () => clock.nowMs(),
    cache,
  });
  const ended = new AbortController();
  let working: Promise<void> | null = null;
  let lastSaid = '';
  const work = async (): Promise<void> => {
    try {
      await desk.catchUp(Math.max(0, clock.nowMs() - SINCE_MS), ended.signal);
      lastSaid = '';
    } catch (error) {
      if (ended.signal.aborted) return;
      // The next time may go well; the disk is on the health page anyway.
      if (String(error) !== lastSaid) log(`Hours could not be surveyed: ${String(error)}`);
      lastSaid = String(error);
    }
  };
  const stopTimer = clock.every(EVERY_MS, () => {
    working ??= work().finally(() => {
      working = null;
    });
  });
  return {
    desk,
    async stop() {
      stopTimer();
      ended.abort();
      await working;
      cache.close();
    },
  };
}
