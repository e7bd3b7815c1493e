/** One generator's run as its voltage tells it: when it started, when it stopped, when it last was loaded. */
import { z } from 'zod';
import type { Boat, Generator, PartId } from '../boat/boat.ts';
import { byId } from '../panel/lookup.ts';
import type { SourceState } from '../panel/panel-state.ts';
import type { RuleContext } from './rule.ts';

export const generatorRunSchema = z.object({
  isRunning: z.boolean().nullable(),
  /** Null where it was running already when it was first seen. */
  startedMs: z.number().nullable(),
  /** Since when it has been seen to run without a stop. */
  seenSinceMs: z.number().nullable(),
  lastRunningMs: z.number().nullable(),
  /** When it last carried more than `generatorLoadedRatio`, and how much. */
  loaded: z.object({ atMs: z.number(), ratio: z.number() }).nullable(),
});

/** Plain JSON. */
export type GeneratorRun = z.infer<typeof generatorRunSchema>;

export const freshRun = (): GeneratorRun => ({
  isRunning: null,
  startedMs: null,
  seenSinceMs: null,
  lastRunningMs: null,
  loaded: null,
});

/** Running with any leg live, stopped with all dead; null where that is not known. */
export function isRunning(state: SourceState): boolean | null {
  if (state.legs.some((leg) => leg.live === 'live')) return true;
  return state.legs.every((leg) => leg.live === 'dead') ? false : null;
}

/** A stop is only seen as one if it was running so shortly before. */
const STOP_SEEN_MS = 30_000;

/**
 * Brings `run` up to date. `started` and `stopped` are said once, and only of what was seen
 * happening: not after a silence of its sensor, nor at the first look.
 */
export function followRun(
  run: GeneratorRun,
  { boat }: Pick<RuleContext, 'boat'>,
  state: SourceState,
  nowMs: number,
): 'started' | 'stopped' | null {
  const now = isRunning(state);
  const before = run.isRunning;
  if (now === null) return null;
  run.isRunning = now;
  if (!now) {
    const wasSeen = nowMs - (run.lastRunningMs ?? -Infinity) <= STOP_SEEN_MS;
    run.seenSinceMs = null;
    return before === true && wasSeen ? 'stopped' : null;
  }
  run.lastRunningMs = nowMs;
  if (before !== true) {
    run.startedMs = before === false ? nowMs : null;
    run.seenSinceMs = nowMs;
    run.loaded = null;
  }
  const ratio = state.loadRatio.value;
  if (ratio !== null && ratio > boat.limits.generatorLoadedRatio)
    run.loaded = { atMs: nowMs, ratio };
  return before === false ? 'started' : null;
}

/** Since when it has run for certain, in milliseconds; 0 while it does not run. */
export const runningForMs = (run: GeneratorRun, nowMs: number): number =>
  run.isRunning === true && run.seenSinceMs !== null ? nowMs - run.seenSinceMs : 0;

/** Every generator of the boat with its state. */
export function generatorsOf({
  boat,
  panel,
}: RuleContext): { generator: Generator; state: SourceState }[] {
  const found: { generator: Generator; state: SourceState }[] = [];
  for (const source of boat.sources) {
    if (source.kind !== 'generator') continue;
    const state = byId(panel.sources, source.id);
    if (state) found.push({ generator: source, state });
  }
  return found;
}

/** Whether any position of the selectors lets `source` feed `part`. */
export function canFeed(boat: Boat, source: PartId, part: PartId): boolean {
  if (source === part) return true;
  const own = boat.parts.get(part);
  if (own?.part === 'bus' || own?.part === 'main switch') return canFeed(boat, source, own.from);
  if (own?.part !== 'selector') return false;
  return [...own.positions.values()].some((from) => from !== null && canFeed(boat, source, from));
}
