/**
 * The history behind one choice of points and span: asked for once, grown at its end by the live
 * panel, and asked for again as the boat's time moves on.
 */
import { effect, signal, type ReadonlySignal } from '@preact/signals';
import { askHistory } from './api.ts';
import { panel } from './live.ts';
import { follows, instantsOf, isDue, ungrown, withTail, type Grown } from './models/trend-plan.ts';
import type { Span } from './route.ts';

/** Enough for every pixel column of a phone and every second one of a laptop. */
const BUCKETS = 400;
const LEAST_BETWEEN_MS = 5_000;

export interface TrendState {
  grown: Grown | null;
  /** Why the newest question was not answered; null: it was. */
  problem: string | null;
}

export interface TrendFeed {
  state: ReadonlySignal<TrendState>;
  stop(): void;
}

/** Asks for the points' history over the span until stopped. */
export function openTrend(points: readonly string[], span: Span): TrendFeed {
  const state = signal<TrendState>({ grown: null, problem: null });
  let isAsking = false;
  let isStopped = false;
  let askedAt = Number.NEGATIVE_INFINITY;

  const ask = async (nowMs: number) => {
    isAsking = true;
    askedAt = performance.now();
    const { fromMs, toMs } = instantsOf(span, nowMs);
    const said = await askHistory(points, fromMs, toMs, BUCKETS);
    isAsking = false;
    if (isStopped) return;
    state.value = said.ok
      ? {
          grown: ungrown(said.answer),
          problem: null,
        }
      : { grown: state.peek().grown, problem: said.problem };
  };

  const stopFollowing = effect(() => {
    const now = panel.value;
    // A fixed span needs no panel to know its instants.
    const nowMs = now?.atMs ?? (typeof span === 'string' ? null : span.toMs);
    if (nowMs === null) return;
    const { grown, problem } = state.peek();
    if (now !== null && grown !== null && follows(span)) {
      state.value = { grown: withTail(grown, now), problem };
    }
    const isPatient = performance.now() - askedAt >= LEAST_BETWEEN_MS;
    if (!isAsking && isPatient && isDue(span, grown?.askedToMs ?? null, nowMs)) void ask(nowMs);
  });

  return {
    state,
    stop: () => {
      isStopped = true;
      stopFollowing();
    },
  };
}
