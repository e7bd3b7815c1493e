/**
 * How late the event loop is: the time by which its timers come too late, real milliseconds. A loop
 * that is late takes readings, answers and evaluates late.
 */
import { monitorEventLoopDelay } from 'node:perf_hooks';

export interface LoopLag {
  /** 99th percentile and greatest since the last call; both begin anew with it. */
  take(): { p99Ms: number; greatestMs: number };
  stop(): void;
}

/** Twenty looks a second cost a small computer next to nothing. */
const RESOLUTION_MS = 50;

/** Measures until it is stopped. */
export function measureLoopLag(): LoopLag {
  const histogram = monitorEventLoopDelay({ resolution: RESOLUTION_MS });
  histogram.enable();
  return {
    take() {
      const isEmpty = histogram.count === 0;
      const lag = {
        p99Ms: isEmpty ? 0 : beyond(histogram.percentile(99)),
        greatestMs: isEmpty ? 0 : beyond(histogram.max),
      };
      histogram.reset();
      return lag;
    },
    stop: () => void histogram.disable(),
  };
}

/** Nanoseconds between two timers, to milliseconds above what was asked for. */
const beyond = (nanoseconds: number): number => Math.max(0, nanoseconds / 1e6 - RESOLUTION_MS);
