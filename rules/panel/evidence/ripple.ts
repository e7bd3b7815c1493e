/**
 * A bus moves as the source that feeds it moves: the dock sags when the neighbours cook, a generator
 * hunts, and what the bus itself draws pulls its own source down and no other. Told only where the
 * changes of one source go with those of the bus beyond doubt, in size too, and those of every
 * other live source clearly do not. The arithmetic and its sources stand in `correlation.ts`.
 */
import { NO_CORRELATION, correlate, median, slopeOf } from './correlation.ts';
import type { Correlation } from './correlation.ts';

/**
 * A correlation counts that lies so many standard errors above none: by chance alone once in a
 * hundred million windows, so about once in two thousand years of a window every four minutes.
 */
const SURE_ERRORS = 5.6;
/** And it must be a close one. */
const LEAST_R = 0.7;
/**
 * A source that feeds the bus shows all of its ripple, however noisy its sensor. Another is left
 * out only where it surely shows no more than this share of it, and does not go with it closely.
 */
const MOST_OTHER_SHARE = 0.65;
const OTHER_ERRORS = 4;
const MOST_OTHER_R = 0.5;
/** Sizes of the changes of bus and source, one against the other. */
const LEAST_SIZE = 0.6;
const MOST_SIZE = 1.7;
/** Pairs of changes below which nothing is said. */
const LEAST_CHANGES = 10;
/**
 * A source that moved in fewer of them says nothing: its sensor may hang, or show whole volts, and
 * then it could be the one all the same.
 */
const LEAST_MOVING = 1 / 3;
/** So many newest changes must not be told worse than those before: a turn would show there. */
const NEWEST = 6;
const WORSE_TIMES = 3;

/** Mean values of one leg over stretches of time, oldest first; NaN where there is none. */
export type Means = readonly number[];

/** Changes of the bus and of a source from one stretch to the next, where both are known. */
interface Moves {
  bus: number[];
  source: number[];
  /** Pairs of the leg that has fewest. */
  least: number;
}

function movesOf(bus: readonly Means[], source: readonly Means[]): Moves {
  const moves: Moves = { bus: [], source: [], least: Infinity };
  bus.forEach((own, leg) => {
    const other = source[leg] ?? [];
    let pairs = 0;
    for (let at = 1; at < own.length; at++) {
      const a = (own[at] ?? NaN) - (own[at - 1] ?? NaN);
      const b = (other[at] ?? NaN) - (other[at - 1] ?? NaN);
      if (Number.isNaN(a) || Number.isNaN(b)) continue;
      moves.bus.push(a);
      moves.source.push(b);
      pairs += 1;
    }
    moves.least = Math.min(moves.least, pairs);
  });
  return moves;
}

const doesMove = ({ source }: Moves): boolean =>
  source.filter((own) => own !== 0).length >= LEAST_MOVING * source.length;

const isSure = ({ r, z, standardError, sizeRatio }: Correlation): boolean =>
  r >= LEAST_R &&
  z >= SURE_ERRORS * standardError &&
  sizeRatio >= LEAST_SIZE &&
  sizeRatio <= MOST_SIZE;

function isOut({ bus, source, least }: Moves, { r }: Correlation): boolean {
  const { slope, error } = slopeOf(bus, source, least);
  return r <= MOST_OTHER_R && slope + OTHER_ERRORS * error <= MOST_OTHER_SHARE;
}

/** What is left of the bus's newest changes without the source's is no more than it used to be. */
function stillFollows(bus: readonly Means[], source: readonly Means[]): boolean {
  return bus.every((own, leg) => {
    const { bus: a, source: b } = movesOf([own], [source[leg] ?? []]);
    const left = a.map((change, at) => (change - (b[at] ?? 0)) ** 2);
    return median(left.slice(-NEWEST)) <= WORSE_TIMES * median(left);
  });
}

/**
 * Number of the source that the bus follows, or null where that is not beyond doubt. Rows of bus
 * and sources leg by leg alike; every source that may be live and may feed the bus has to be there.
 */
export function followedBy(
  bus: readonly Means[],
  sources: readonly (readonly Means[])[],
): number | null {
  const moves = sources.map((own) => movesOf(bus, own));
  if (moves.some((own) => own.least < LEAST_CHANGES || !doesMove(own))) return null;
  // The legs of a source move alike in part, so that two legs count no more than one.
  const found = moves.map((own) => correlate(own.bus, own.source, { count: own.least }));
  const at = found.findIndex(isSure);
  if (at < 0) return null;
  const areOut = moves.every((own, i) => i === at || isOut(own, found[i] ?? NO_CORRELATION));
  if (!areOut) return null;
  return stillFollows(bus, sources[at] ?? []) ? at : null;
}
