/**
 * A load is switched: the clamp of its bus steps, and in the same moment so does the clamp of the
 * source that feeds the bus, and no other. One such step may be chance, several are not. Levels are
 * compared from before to well after, so that neither a motor's start nor two sensors that speak
 * one after the other look like a step that is missing.
 */
import { median } from './correlation.ts';

/** Looks before the step, around it, and after it, in which levels are taken. */
const BEFORE = 3;
const AROUND = 4;
const AFTER = 3;
export const LOOKS = BEFORE + AROUND + AFTER;

/** A step counts from here and from this share of what flows; common practice for clamps. */
const STEP_AMPS = 0.4;
const STEP_RATIO = 0.06;
/** A clamp stands still while it moves by no more than this, or than this share of the step. */
const STILL_AMPS = 0.1;
const STILL_RATIO = 0.15;
/**
 * Step of the source's clamp in that of the bus's. Effective amperes of unlike power factors add
 * up to less than their sum, by a third at worst for a motor beside heaters.
 */
const LEAST_SHARE = 0.6;
const MOST_SHARE = 1.35;

/** Amperes of one clamp at so many looks, oldest first. */
export type Looks = readonly number[];

interface Levels {
  before: number;
  step: number;
  isCalm: (still: number) => boolean;
}

const spread = (values: readonly number[]): number => Math.max(...values) - Math.min(...values);

function levelsOf(looks: Looks): Levels {
  const [first, last] = [looks.slice(0, BEFORE), looks.slice(-AFTER)];
  const before = median(first);
  return {
    before,
    step: median(last) - before,
    isCalm: (still) => spread(first) <= still && spread(last) <= still,
  };
}

/** `none`: no step of the bus. `unclear`: one, but no single source stepped alike. */
export type Stepped = { source: number } | 'none' | 'unclear';

/** Which source stepped with the bus, by its place among the `sources`. NaN: no reading. */
export function steppedWith(bus: Looks, sources: readonly Looks[]): Stepped {
  if (bus.length < LOOKS) return 'none';
  const own = levelsOf(bus);
  const size = Math.abs(own.step);
  if (!(size >= Math.max(STEP_AMPS, STEP_RATIO * own.before))) return 'none';
  const still = Math.max(STILL_AMPS, STILL_RATIO * size);
  const levels = sources.map(levelsOf);
  // Two sources may not step at once for reasons of their own, so all have to be calm.
  if (![own, ...levels].every(({ isCalm }) => isCalm(still))) return 'unclear';
  if (levels.some(({ before }) => size < STEP_RATIO * before)) return 'unclear';
  const alike = levels.flatMap(({ step }, source) => {
    const share = step / own.step;
    return share >= LEAST_SHARE && share <= MOST_SHARE ? [source] : [];
  });
  const [source] = alike;
  if (source === undefined || alike.length > 1) return 'unclear';
  const others = levels.filter((_, at) => at !== source);
  return others.every(({ step }) => Math.abs(step) <= still) ? { source } : 'unclear';
}
