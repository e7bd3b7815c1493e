/** What every witness of a bus's movement has in common, and the points that it looks at. */
import type { LegName, Point } from '../../boat/boat.ts';
import type { Latest } from '../latest.ts';

/** A live source that may feed a bus, by its number in the supply graph. */
export interface Rival {
  root: number;
  label: string;
}

/** A source that was told, and since when what tells it has been so. */
export interface Told {
  root: number;
  sinceMs: number;
  /** What it rests on now was read from this instant on: nothing may have been turned since. */
  restsFromMs: number;
}

/** A bus and everything that may feed it, for as long as nothing can have been turned. */
export interface Setting {
  busLabel: string;
  legs: readonly LegName[];
  /** At least two. */
  rivals: readonly Rival[];
  /** Every one of them has begun at this instant; what was read before does not count. */
  sinceMs: number;
}

/** Tells a source by what moves together, or does not know. */
export interface Witness {
  /** Unique among the witnesses of a bus. */
  readonly name: string;
  /**
   * Whether a turn that no sensor saw would change the distance in volts that it has been told by:
   * if not, currents have to show that there was none.
   */
  readonly isByDistance: boolean;
  /** Takes in the newest readings. Once an evaluation. */
  look(latest: Latest, nowMs: number): void;
  readonly told: Told | null;
  /** Why it is told, as a whole sentence for a person. */
  reason(nowMs: number): string;
}

/** `less than a minute`, `a minute`, `12 min`. */
export function minutesWords(ms: number): string {
  const minutes = Math.round(ms / 60_000);
  if (minutes < 1) return 'less than a minute';
  return minutes === 1 ? 'minute' : `${minutes} min`;
}

/** The longest of the intervals in which the points are expected to speak. */
export const slowestMs = (points: readonly Point[]): number =>
  Math.max(1000, ...points.map((point) => point.expectedEveryMs));
