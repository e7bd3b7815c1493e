/** Limits how often something may happen: `perSecond` on average, twice that in one burst. */
import type { Clock } from '../clock.ts';

export interface TokenBucket {
  /** True and one token fewer, or false when there is none. */
  take(): boolean;
}

export function createTokenBucket(clock: Clock, perSecond: number): TokenBucket {
  const most = perSecond * 2;
  let tokens = most;
  let filledAtMs = clock.nowMs();
  return {
    take() {
      const nowMs = clock.nowMs();
      tokens = Math.min(most, tokens + ((nowMs - filledAtMs) / 1000) * perSecond);
      filledAtMs = nowMs;
      if (tokens < 1) return false;
      tokens -= 1;
      return true;
    },
  };
}
