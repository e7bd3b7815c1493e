/**
 * Tells new values from replayed, repeated and late ones. A server replays what it has in its
 * cache at every subscription, with the old timestamps, and in no order relative to live values.
 *
 * Three clocks meet here (the source's, the server's, ours), and none may be trusted: a boat's
 * computer starts without the time. So age is judged by the server's own clock where its hello
 * told it, and a source that keeps making progress is live whatever its clock says.
 */

/**
 * `live` is fresh. `restored` was said before we listened. `repeated` is the same value of the same
 * time once more, as servers send it; `older` comes after a newer one. Neither brings anything new.
 */
export type Judgement = 'live' | 'restored' | 'repeated' | 'older';

export interface ValueOrder {
  /** A subscription has gone out. `serverMs`: the server's time now as its hello told, or null. */
  subscribed(nowMs: number, serverMs: number | null): void;
  judge(value: TimedValue, nowMs: number): Judgement;
}

export interface TimedValue {
  source: string;
  path: string;
  /** The source's time; null: the update has none. */
  timestampMs: number | null;
  value: unknown;
}

/** Replay comes at once; this much later everything that arrives was sent live. */
const REPLAY_WINDOW_MS = 5_000;
/** A first value that is older than this by the server's clock was in its cache. */
const OLDEST_FIRST_MS = 30_000;
/** Clocks that agree may still differ by this. */
const CLOCK_SLACK_MS = 5_000;

interface Last {
  timestampMs: number | null;
  value: unknown;
  /** An older timestamp that was refused; one more that moves on from it: the clock stepped back. */
  steppedBackToMs: number | null;
}

export function createValueOrder(): ValueOrder {
  const lasts = new Map<string, Last>();
  let subscribedAtMs = Number.NEGATIVE_INFINITY;
  /** Server time minus our time; null: the server does not know the time. */
  let serverAheadMs: number | null = null;

  const isInReplay = (nowMs: number): boolean => nowMs - subscribedAtMs < REPLAY_WINDOW_MS;

  /** In the first moments only what was demonstrably said after the subscription is live. */
  const judgeInReplay = (timestampMs: number, nowMs: number): Judgement => {
    if (serverAheadMs === null) return 'restored';
    const isSince = timestampMs >= subscribedAtMs + serverAheadMs;
    const isFromTheFuture = timestampMs > nowMs + serverAheadMs + CLOCK_SLACK_MS;
    return isSince && !isFromTheFuture ? 'live' : 'restored';
  };

  const judgeFirst = (timestampMs: number, nowMs: number): Judgement => {
    const ageMs = serverAheadMs === null ? 0 : nowMs + serverAheadMs - timestampMs;
    return ageMs > OLDEST_FIRST_MS ? 'restored' : 'live';
  };

  /** Values from before the last one; two that move on say that the source's clock went back. */
  const judgeOlder = (last: Last, timestampMs: number): Judgement => {
    const isMovingOn = last.steppedBackToMs !== null && timestampMs > last.steppedBackToMs;
    last.steppedBackToMs = timestampMs;
    return isMovingOn ? 'live' : 'older';
  };

  const judgeTimed = (last: Last | undefined, timestampMs: number, nowMs: number): Judgement => {
    const lastMs = last?.timestampMs ?? null;
    if (last && lastMs !== null && timestampMs < lastMs) return judgeOlder(last, timestampMs);
    if (isInReplay(nowMs)) return judgeInReplay(timestampMs, nowMs);
    return lastMs === null ? judgeFirst(timestampMs, nowMs) : 'live';
  };

  return {
    subscribed(nowMs, serverMs) {
      subscribedAtMs = nowMs;
      serverAheadMs = serverMs === null ? null : serverMs - nowMs;
    },
    judge({ source, path, timestampMs, value }, nowMs) {
      const key = `${path}\n${source}`;
      const last = lasts.get(key);
      if (timestampMs === null) return isInReplay(nowMs) ? 'restored' : 'live';
      // The same stamp with another value is a source with a coarse clock, and new.
      if (last?.timestampMs === timestampMs && Object.is(last.value, value)) return 'repeated';
      const judgement = judgeTimed(last, timestampMs, nowMs);
      if (judgement !== 'older') lasts.set(key, { timestampMs, value, steppedBackToMs: null });
      return judgement;
    },
  };
}
