/**
 * The history behind one choice of points and span: asked for once, grown at its end by the live
 * panel, and asked for again as the boat's time moves on.
 */
import { effect, signal, type ReadonlySignal } from '@preact/signals';
import { askHistory } from './api.ts';
import { panel } from './live.ts';
import type { HistoryAnswer } from '../daemon/api/contract.ts';
import {
  aWeekLater,
  follows,
  instantsOf,
  isDue,
  isWorthDrawing,
  ungrown,
  WEEK_MS,
  withTail,
  type Grown,
} from './models/trend-plan.ts';
import type { Span } from './route.ts';

/** One for every pixel column, as far as the daemon should be asked to go. */
const bucketsForScreen = (): number => Math.min(1000, Math.max(300, Math.round(innerWidth)));
const LEAST_BETWEEN_MS = 5_000;
/** While somebody holds down a key, only the last of many steps is asked for. */
const SETTLED_AFTER_MS = 250;

export interface TrendState {
  grown: Grown | null;
  /** The same points a week earlier, moved to the present; null: not asked, or not answered yet. */
  weekBefore: HistoryAnswer | null;
  /** Why the newest question was not answered; null: it was. */
  problem: string | null;
}

export interface TrendFeed {
  span: Span;
  /** The points asked for, joined. */
  pointsKey: string;
  state: ReadonlySignal<TrendState>;
  stop(): void;
}

export interface Wanted {
  points: readonly string[];
  span: Span;
  isCompared: boolean;
  /** Something is drawn already, so that a moment's patience leaves nothing empty. */
  isPatient: boolean;
}

/** Asks for the points' history over the span until stopped. */
export function openTrend({ points, span, isCompared, isPatient }: Wanted): TrendFeed {
  const state = signal<TrendState>({ grown: null, weekBefore: null, problem: null });
  const isSettling = signal(isPatient);
  const settling = setTimeout(() => {
    isSettling.value = false;
  }, SETTLED_AFTER_MS);
  let isAsking = false;
  let isStopped = false;
  let askedAt = Number.NEGATIVE_INFINITY;
  /** With every reading heard; what is drawn may be a little behind it. */
  let newest: Grown | null = null;

  const ask = async (nowMs: number) => {
    isAsking = true;
    askedAt = performance.now();
    const { fromMs, toMs } = instantsOf(span, nowMs);
    const buckets = bucketsForScreen();
    const [said, before] = await Promise.all([
      askHistory(points, fromMs, toMs, buckets),
      isCompared ? askHistory(points, fromMs - WEEK_MS, toMs - WEEK_MS, buckets) : null,
    ]);
    isAsking = false;
    if (isStopped) return;
    const old = state.peek();
    if (said.ok) newest = ungrown(said.answer, nowMs);
    state.value = {
      grown: said.ok ? newest : old.grown,
      weekBefore: before?.ok === true ? aWeekLater(before.answer) : old.weekBefore,
      problem: said.ok ? (before?.ok === false ? before.problem : null) : said.problem,
    };
  };

  const stopFollowing = effect(() => {
    const now = panel.value;
    // A fixed span needs no panel to know its instants.
    const nowMs = now?.atMs ?? (typeof span === 'string' ? null : span.toMs);
    if (nowMs === null) return;
    const old = state.peek();
    const { grown } = old;
    if (now !== null && grown !== null && newest !== null && follows(span, now.atMs)) {
      newest = withTail(newest, now);
      if (isWorthDrawing(grown, newest)) state.value = { ...old, grown: newest };
    }
    if (isSettling.value || isAsking || performance.now() - askedAt < LEAST_BETWEEN_MS) return;
    if (isDue(span, grown?.askedToMs ?? null, nowMs)) void ask(nowMs);
  });

  return {
    span,
    pointsKey: points.join(),
    state,
    stop: () => {
      isStopped = true;
      clearTimeout(settling);
      stopFollowing();
    },
  };
}
