/**
 * The newest reading of every point, and how fresh it is. Everything the panel state rests on is
 * asked for here, so that a silent sensor can never look like a zero.
 */
import type { Boat, LegName, PartId, Point, PointId, Quantity } from '../boat/boat.ts';
import type { Reading, Silence } from '../reading.ts';
import { CurrentWindows } from './current-window.ts';
import type { CurrentWindow } from './current-window.ts';
import { batteryVolts, nominalVolts } from './nominal.ts';
import type { Known, PointState } from './panel-state.ts';
import { PartChanges } from './part-changes.ts';

interface Newest {
  value: number | string | null;
  atMs: number;
  isRestored: boolean;
  /** Last value that was ever read, kept through a sensor's own "no value". */
  lastValue: number | string | null;
  /** How many readings in a row said exactly this; the longest such run before; changes so far. */
  same?: number;
  longestSame?: number;
  changes?: number;
}

export type SavedLatest = Record<PointId, Newest>;

export const UNKNOWN: Known = { value: null, evidence: 'unknown', ageMs: null };

/** Readings of a voltage that are further apart than so many intervals have a gap between them. */
export const BREAK_INTERVALS = 2.5;

/** Readings in a row that must be the same to the last digit; common practice. */
const FROZEN_READINGS = 20;
/** Beyond so many, and this times the longest run before, a point stands still; common practice. */
const STILL_READINGS = 3;
const STILL_RATIO = 1.5;

function runOf(before: Newest | undefined, value: number | string): Partial<Newest> {
  const { same = 1, longestSame = 0, changes = 0 } = before ?? {};
  if (before?.lastValue === value) return { same: same + 1, longestSame, changes };
  // A run that looked like a freeze may have been health after all, but not all of it counts.
  const wasFreeze = same > FROZEN_READINGS && changes > FROZEN_READINGS;
  const ended = Math.max(longestSame, wasFreeze ? Math.min(same, 2 * longestSame) : same);
  return {
    same: 1,
    longestSame: value === 0 || before?.lastValue === 0 ? longestSame : ended,
    changes: changes + 1,
  };
}

/** Age beyond which a reading of `point` is stale, in milliseconds. */
export function staleAfterMs(boat: Boat, point: Point): number {
  return Math.max(
    boat.limits.staleIntervals * point.expectedEveryMs,
    boat.limits.staleSeconds * 1000,
  );
}

export class Latest {
  readonly #boat: Boat;
  readonly #newest = new Map<PointId, Newest>();
  readonly #breaks = new Map<PointId, number>();
  readonly #changes: PartChanges;
  readonly #windows: CurrentWindows;
  /** Asked hundreds of times an evaluation, so it is nested maps and not joined keys. */
  readonly #byPart = new Map<PartId, Map<Quantity, Map<LegName | undefined, Point>>>();

  constructor(boat: Boat, saved: SavedLatest = {}) {
    this.#boat = boat;
    this.#changes = new PartChanges(boat);
    this.#windows = new CurrentWindows(boat);
    for (const point of boat.points.values()) {
      this.#index(point);
      const newest = saved[point.id];
      // What was read before a restart is of unknown age: it may show as old, it is no evidence.
      if (newest) this.#newest.set(point.id, { ...newest, isRestored: true });
    }
  }

  take(input: Reading | Silence): 'taken' | 'older' | 'unknown point' {
    const point = this.#boat.points.get(input.pointId);
    if (!point) return 'unknown point';
    const before = this.#newest.get(input.pointId);
    if (point.quantity === 'volts') this.#noteBreak(point, before, input);
    if (before && input.atMs < before.atMs) return 'older';
    if ('isSilent' in input) {
      this.#set(point, {
        value: null,
        atMs: input.atMs,
        isRestored: false,
        lastValue: before?.lastValue ?? null,
      });
      return 'taken';
    }
    const isRestored = input.isRestored === true;
    // A replayed value never pushes out one that was heard live.
    if (isRestored && before && !before.isRestored) return 'older';
    if (typeof input.value === 'number' && !isRestored) {
      this.#windows.take(point, input.value, input.atMs);
    }
    this.#set(point, {
      value: input.value,
      atMs: input.atMs,
      isRestored,
      lastValue: input.value,
      ...runOf(before, input.value),
    });
    return 'taken';
  }

  /**
   * A number that changes whenever a point of the part has been read or has gone stale. As long as
   * it stays the same, everything the points of the part say is the same, and only older.
   */
  changes(part: PartId, nowMs: number): number {
    return this.#changes.count(part, nowMs, (point) => this.#sameUntilMs(point, nowMs));
  }

  /**
   * How often the voltage of a point was seen dead, doubtful or missing since the start, also
   * between two evaluations.
   */
  breaks(point: Point): number {
    return this.#breaks.get(point.id) ?? 0;
  }

  /**
   * Whether a point that used to move from reading to reading has said the same to the last digit
   * for long. Zero is no sign of anything: nothing flows.
   */
  isFrozen(point: Point): boolean {
    const newest = this.#newest.get(point.id);
    if (typeof newest?.value !== 'number' || newest.value === 0) return false;
    const { same = 0, longestSame = 0, changes = 0 } = newest;
    const { sensorFrozenRatio } = this.#boat.limits;
    return (
      same > FROZEN_READINGS && changes > FROZEN_READINGS && same > sensorFrozenRatio * longestSame
    );
  }

  /**
   * Whether a point of alternating current has hung for so long, as the limits of frozen sensors
   * have it, that its readings are no evidence: it moved far more often while it was well. `floor`:
   * magnitude above which it is live; below it nothing needs to move.
   */
  isHanging(point: Point, floor: number): boolean {
    const newest = this.#newest.get(point.id);
    if (typeof newest?.value !== 'number' || Math.abs(newest.value) <= floor) return false;
    const { same = 0, longestSame = 0, changes = 0 } = newest;
    const { sensorFrozenChanges, sensorFrozenIntervals, sensorFrozenRatio } = this.#boat.limits;
    if (same <= sensorFrozenIntervals || changes < sensorFrozenChanges) return false;
    return same > sensorFrozenRatio * longestSame;
  }

  /** How many readings in a row have said the same number; null while none is known. */
  sameInARow(point: Point): number | null {
    const newest = this.#newest.get(point.id);
    return typeof newest?.value === 'number' ? (newest.same ?? 0) : null;
  }

  /**
   * Whether a point that moves from reading to reading stands stiller than it ever has: too early to
   * call it frozen, but nothing finer should rest on it. Zero is no sign, as for `isFrozen`.
   */
  isStill(point: Point): boolean {
    const newest = this.#newest.get(point.id);
    if (typeof newest?.value !== 'number' || newest.value === 0) return false;
    const { same = 0, longestSame = 0, changes = 0 } = newest;
    return changes > FROZEN_READINGS && same > Math.max(STILL_READINGS, STILL_RATIO * longestSame);
  }

  /** Bounds of an alternating current over the last readings; undefined for any other point. */
  currentWindow(point: Point): CurrentWindow | undefined {
    return this.#windows.of(point);
  }

  /** Age of the newest value of a point in milliseconds, or null. */
  ageMs(point: Point, nowMs: number): number | null {
    const newest = this.#newest.get(point.id);
    return newest ? Math.max(0, nowMs - newest.atMs) : null;
  }

  point(of: PartId, quantity: Quantity, leg?: LegName): Point | undefined {
    return this.#byPart.get(of)?.get(quantity)?.get(leg);
  }

  /** The fresh number of a quantity, or unknown with its last value. */
  number(of: PartId, quantity: Quantity, nowMs: number, leg?: LegName): Known {
    const point = this.point(of, quantity, leg);
    const newest = point && this.#newest.get(point.id);
    if (!point || !newest) return UNKNOWN;
    if (this.#isFresh(point, newest, nowMs) && typeof newest.value === 'number') {
      return { value: newest.value, evidence: 'measured', ageMs: Math.max(0, nowMs - newest.atMs) };
    }
    if (typeof newest.lastValue !== 'number') return UNKNOWN;
    return { ...UNKNOWN, ageMs: Math.max(0, nowMs - newest.atMs), lastValue: newest.lastValue };
  }

  /** The fresh number of a point, or null. */
  numberAt(point: Point, nowMs: number): number | null {
    const newest = this.#newest.get(point.id);
    if (!newest || !this.#isFresh(point, newest, nowMs)) return null;
    return typeof newest.value === 'number' ? newest.value : null;
  }

  /** The fresh word of a point, or null. */
  wordAt(point: Point, nowMs: number): string | null {
    const newest = this.#newest.get(point.id);
    if (!newest || !this.#isFresh(point, newest, nowMs)) return null;
    return typeof newest.value === 'string' ? newest.value : null;
  }

  /** The fresh word of a `position` or `switch` point, or null. */
  word(of: PartId, quantity: 'position' | 'switch', nowMs: number): string | null {
    const point = this.point(of, quantity);
    return point ? this.wordAt(point, nowMs) : null;
  }

  /** State of one point for the health page and the sensor rules. */
  state(point: Point, nowMs: number): PointState {
    const newest = this.#newest.get(point.id);
    return {
      id: point.id,
      of: point.of,
      leg: point.leg ?? null,
      quantity: point.quantity,
      unit: BASE_UNITS[point.quantity],
      value: newest?.value ?? newest?.lastValue ?? null,
      freshness: this.#freshness(point, newest, nowMs),
      ageMs: newest ? Math.max(0, nowMs - newest.atMs) : null,
      expectedEveryMs: point.expectedEveryMs,
    };
  }

  save(): SavedLatest {
    return Object.fromEntries(this.#newest);
  }

  #set(point: Point, newest: Newest): void {
    this.#newest.set(point.id, newest);
    this.#changes.mark(point.of);
  }

  /** Until when a point says the same as now if it is not read again: a fresh one goes stale. */
  #sameUntilMs(point: Point, nowMs: number): number {
    const newest = this.#newest.get(point.id);
    if (!newest) return Infinity;
    // A reading from the future has no age yet, however long it still is ahead.
    if (newest.atMs > nowMs) return nowMs;
    const isFresh = this.#isFresh(point, newest, nowMs);
    return isFresh ? newest.atMs + staleAfterMs(this.#boat, point) : Infinity;
  }

  #index(point: Point): void {
    let own = this.#byPart.get(point.of);
    if (!own) this.#byPart.set(point.of, (own = new Map()));
    let legs = own.get(point.quantity);
    if (!legs) own.set(point.quantity, (legs = new Map()));
    legs.set(point.leg, point);
  }

  #noteBreak(point: Point, before: Newest | undefined, input: Reading | Silence): void {
    const part = this.#boat.parts.get(point.of);
    const nominal = nominalVolts(this.#boat, part?.system ?? 'ac', batteryVolts(part));
    const isLive =
      !('isSilent' in input) &&
      input.isRestored !== true &&
      typeof input.value === 'number' &&
      Math.abs(input.value) >= this.#boat.limits.liveRatio * nominal;
    const isLate =
      before !== undefined && input.atMs - before.atMs > BREAK_INTERVALS * point.expectedEveryMs;
    if (!isLive || isLate) this.#breaks.set(point.id, this.breaks(point) + 1);
  }

  #freshness(point: Point, newest: Newest | undefined, nowMs: number): PointState['freshness'] {
    if (!newest) return 'never';
    if (newest.isRestored) return 'restored';
    return this.#isFresh(point, newest, nowMs) ? 'fresh' : 'stale';
  }

  #isFresh(point: Point, newest: Newest, nowMs: number): boolean {
    if (newest.isRestored || newest.value === null) return false;
    return nowMs - newest.atMs <= staleAfterMs(this.#boat, point);
  }
}

/** Unit that readings of each quantity carry; empty for ratios and words. */
export const BASE_UNITS: Readonly<Record<Quantity, string>> = {
  volts: 'V',
  amps: 'A',
  watts: 'W',
  hertz: 'Hz',
  powerFactor: '',
  stateOfCharge: '',
  celsius: '°C',
  position: '',
  switch: '',
};
