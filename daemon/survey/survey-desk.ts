/**
 * Answers for the load survey of any span within about a second. Hours and days that are over are
 * surveyed once, from every reading, and kept; a question puts them together and reads only what is
 * left at its ends. What is neither kept nor little comes from quarters of an hour, and is said to.
 *
 * A kept piece counts as long as the readings of its time are as many as when it was made and stand
 * at the same place of the clock: late readings and a clock put right make it anew.
 */
import { createHash } from 'node:crypto';
import { BoatSurvey, joinedBoat, roughPiece, SurveyRun } from '../../rules/index.ts';
import type { Boat, BoatPiece, BoatSurveyed } from '../../rules/index.ts';
import type { HistoryReader, TierMs, TimeAxis } from '../store/store.ts';
import type { Kept, SurveyCache } from './survey-cache.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 86_400_000;
const QUARTER_MS = 900_000;
/** And what leads out of it; what comes even later makes an hour be surveyed anew. */
const SEALED_AFTER_MS = 60_000;
/** So much is read reading by reading for one question, besides the broken hours at its ends. */
const READ_MOST_MS = 3 * HOUR_MS;
/** Quarters of an hour that are in memory at once. */
const ROUGH_MOST_MS = 8 * DAY_MS;
/** Hours are kept so long, then only their day. */
const HOURS_KEPT_MS = 8 * DAY_MS;

export interface DeskParts {
  boat: Boat;
  reader: Pick<HistoryReader, 'readings' | 'rollups'>;
  /** Where present instants are stored: part of what a kept piece depends on. */
  axis: () => TimeAxis;
  nowMs: () => number;
  cache: SurveyCache;
}

export interface SurveyOfSpan extends BoatSurveyed {
  /** So much of the span is told from means of quarters of an hour, ms. */
  roughMs: number;
}

interface Unit {
  fromMs: number;
  toMs: number;
  /** Null: a broken hour, or one that is not over. */
  widthMs: number | null;
}

export class SurveyDesk {
  readonly #parts: DeskParts;
  readonly #points: readonly string[];
  readonly #recipes: string;
  readonly #leadMs: number;

  constructor(parts: DeskParts) {
    this.#parts = parts;
    this.#points = [...parts.boat.points.values()]
      .filter(({ quantity }) => quantity !== 'position' && quantity !== 'switch')
      .map(({ id }) => id);
    ({ recipes: this.#recipes, leadMs: this.#leadMs } = new BoatSurvey(parts.boat, 0, 1));
  }

  /** Rejects with `signal`'s reason when it aborts, and with what SQLite says. `toMs` lies after `fromMs`. */
  async survey(fromMs: number, toMs: number, signal?: AbortSignal): Promise<SurveyOfSpan> {
    const units = await this.#unitsOf(fromMs, toMs, signal);
    const keys = await this.#keysOf(units, signal);
    const pieces = new Map<Unit, BoatPiece>();
    let roughMs = 0;
    let left = READ_MOST_MS;
    const rough: Unit[] = [];
    // The newest first: what is read now is what people ask for again.
    for (const unit of units.toReversed()) {
      const kept = await this.#kept(unit, keys.get(unit), signal);
      const ms = unit.toMs - unit.fromMs;
      if (kept !== null) pieces.set(unit, kept);
      else if (unit.widthMs === null || ms <= left) {
        if (unit.widthMs !== null) left -= ms;
        pieces.set(unit, await this.#exact(unit, keys.get(unit), signal));
      } else rough.push(unit);
    }
    for (const run of runsOf(rough.toReversed(), ROUGH_MOST_MS)) {
      const { piece, knownMs } = await this.#rough(run, signal);
      for (const unit of run.slice(0, 1)) pieces.set(unit, piece);
      roughMs += knownMs;
    }
    const inOrder = units.flatMap((unit) => pieces.get(unit) ?? []);
    const surveyed = new BoatSurvey(this.#parts.boat, fromMs, toMs).surveyedFrom(inOrder);
    return { ...surveyed, roughMs };
  }

  /**
   * Surveys the newest hour or day that is over and not kept yet, within `sinceMs`; false when there
   * is none. Called again and again while nothing else is to do.
   */
  async catchUp(sinceMs: number, signal?: AbortSignal): Promise<boolean> {
    const units = await this.#unitsOf(sinceMs, this.#sealedMs(), signal);
    const keys = await this.#keysOf(units, signal);
    for (const unit of units.toReversed()) {
      const key = keys.get(unit);
      if (key === undefined || (await this.#kept(unit, key, signal)) !== null) continue;
      if (unit.widthMs === HOUR_MS) await this.#exact(unit, key, signal);
      else await this.#catchUpDay(unit, key, signal);
      return true;
    }
    this.#parts.cache.drop(HOUR_MS, this.#sealedMs() - HOURS_KEPT_MS);
    return false;
  }

  /** Hours of a day that has none yet, and then the day. */
  async #catchUpDay(day: Unit, dayKey: string, signal?: AbortSignal): Promise<void> {
    const hours = piecesOf(day.fromMs, day.toMs, HOUR_MS);
    for (const [hour, key] of await this.#keysOf(hours, signal)) {
      if (!this.#parts.cache.has({ ...keptAs(hour), key })) await this.#exact(hour, key, signal);
    }
    await this.#kept(day, dayKey, signal);
  }

  #sealedMs(): number {
    return Math.floor((this.#parts.nowMs() - SEALED_AFTER_MS - this.#leadMs) / HOUR_MS) * HOUR_MS;
  }

  /** Days, hours before and after them, and what is broken at the ends; nothing where nothing is known. */
  async #unitsOf(fromMs: number, toMs: number, signal?: AbortSignal): Promise<Unit[]> {
    const known = await this.#knownSpan(fromMs, toMs, signal);
    if (known === null) return [];
    const [firstMs, endMs] = [Math.max(fromMs, known[0]), Math.min(toMs, known[1])];
    const sealedMs = Math.min(Math.floor(endMs / HOUR_MS) * HOUR_MS, this.#sealedMs());
    const hourMs = Math.ceil(firstMs / HOUR_MS) * HOUR_MS;
    if (sealedMs <= hourMs) return [{ fromMs: firstMs, toMs: endMs, widthMs: null }];
    const dayMs = Math.min(sealedMs, Math.ceil(hourMs / DAY_MS) * DAY_MS);
    const dayEndMs = Math.max(dayMs, Math.floor(sealedMs / DAY_MS) * DAY_MS);
    return [
      { fromMs: firstMs, toMs: hourMs, widthMs: null },
      ...piecesOf(hourMs, dayMs, HOUR_MS),
      ...piecesOf(dayMs, dayEndMs, DAY_MS),
      ...piecesOf(dayEndMs, sealedMs, HOUR_MS),
      { fromMs: sealedMs, toMs: endMs, widthMs: null },
    ].filter((unit) => unit.toMs > unit.fromMs);
  }

  /** First and last day of the span of which the history has anything. */
  async #knownSpan(
    fromMs: number,
    toMs: number,
    signal?: AbortSignal,
  ): Promise<[fromMs: number, toMs: number] | null> {
    const first = Math.floor(fromMs / DAY_MS) * DAY_MS;
    const series = await this.#parts.reader.rollups(
      { points: this.#points, fromMs: first - DAY_MS, toMs: toMs + DAY_MS, tierMs: DAY_MS },
      signal,
    );
    const ends = series.flatMap(({ buckets }) => {
      const [a, b] = [buckets[0], buckets.at(-1)];
      // A day that a new boot cuts stands where it started.
      return a && b ? [[a.atMs - DAY_MS, b.atMs + 2 * DAY_MS] as const] : [];
    });
    if (ends.length === 0) return null;
    const from = Math.min(...ends.map(([a]) => a));
    const to = Math.max(...ends.map(([, b]) => b));
    return from < toMs && to > fromMs ? [from, to] : null;
  }

  async #kept(
    unit: Unit,
    key: string | undefined,
    signal?: AbortSignal,
  ): Promise<BoatPiece | null> {
    if (key === undefined) return null;
    const { cache } = this.#parts;
    const kept = cache.get({ ...keptAs(unit), key });
    if (kept !== null || unit.widthMs !== DAY_MS) return kept;
    const hours: BoatPiece[] = [];
    for (const [hour, own] of await this.#keysOf(
      piecesOf(unit.fromMs, unit.toMs, HOUR_MS),
      signal,
    )) {
      const piece = cache.get({ ...keptAs(hour), key: own });
      if (piece === null) return null;
      hours.push(piece);
    }
    const day = joinedBoat(hours);
    cache.set({ ...keptAs(unit), key }, day);
    return day;
  }

  /** Of each whole hour and day the key of what its survey depends on. */
  async #keysOf(units: readonly Unit[], signal?: AbortSignal): Promise<Map<Unit, string>> {
    const keys = new Map<Unit, string>();
    for (const widthMs of [HOUR_MS, DAY_MS] as const) {
      for (const run of runsOf(units.filter((unit) => unit.widthMs === widthMs))) {
        const counts = await this.#countsOf(run, widthMs, signal);
        for (const unit of run) keys.set(unit, this.#keyOf(unit, counts.get(unit.fromMs) ?? []));
      }
    }
    return keys;
  }

  async #countsOf(
    run: readonly Unit[],
    tierMs: TierMs,
    signal?: AbortSignal,
  ): Promise<Map<number, string[]>> {
    const { fromMs = 0 } = run[0] ?? {};
    const { toMs = 0 } = run.at(-1) ?? {};
    const query = { points: this.#points, fromMs, toMs, tierMs };
    const counts = new Map<number, string[]>();
    for (const { pointId, buckets } of await this.#parts.reader.rollups(query, signal)) {
      for (const { atMs, count } of buckets) {
        const own = counts.get(atMs) ?? [];
        counts.set(atMs, own);
        own.push(`${pointId} ${count}`);
      }
    }
    return counts;
  }

  #keyOf({ fromMs, toMs }: Unit, counts: readonly string[]): string {
    const places = this.#parts.axis().spans(fromMs, toMs);
    const text = JSON.stringify([this.#recipes, places, counts]);
    return createHash('sha1').update(text).digest('base64');
  }

  /** From every reading; kept where its time is over. */
  async #exact(unit: Unit, key: string | undefined, signal?: AbortSignal): Promise<BoatPiece> {
    const { boat, reader, cache } = this.#parts;
    const { fromMs, toMs } = unit;
    const survey = new SurveyRun(boat, fromMs, toMs);
    const query = {
      points: this.#points,
      fromMs: fromMs - this.#leadMs,
      toMs: toMs + this.#leadMs,
    };
    for await (const batch of reader.readings(query, signal)) {
      for (const { pointId, atMs, value } of batch) survey.take(pointId, atMs, value);
    }
    const piece = joinedBoat(survey.pieces());
    if (key !== undefined) cache.set({ ...keptAs(unit), key }, piece);
    return piece;
  }

  async #rough(
    run: readonly Unit[],
    signal?: AbortSignal,
  ): Promise<{ piece: BoatPiece; knownMs: number }> {
    const { fromMs = 0 } = run[0] ?? {};
    const { toMs = 0 } = run.at(-1) ?? {};
    const { boat, reader } = this.#parts;
    const quarters = await reader.rollups(
      { points: this.#points, fromMs, toMs, tierMs: QUARTER_MS },
      signal,
    );
    const piece = roughPiece(boat, fromMs, toMs, quarters);
    const knownMs = Math.max(0, ...Object.values(piece.points).map((point) => point.knownMs));
    return { piece, knownMs };
  }
}

function piecesOf(fromMs: number, toMs: number, widthMs: number): Unit[] {
  const length = Math.max(0, Math.round((toMs - fromMs) / widthMs));
  return Array.from({ length }, (_, at) => ({
    fromMs: fromMs + at * widthMs,
    toMs: fromMs + (at + 1) * widthMs,
    widthMs,
  }));
}

/** Units that follow each other without a hole, so long at most. */
function runsOf(units: readonly Unit[], mostMs = Infinity): Unit[][] {
  const runs: Unit[][] = [];
  for (const unit of units) {
    const run = runs.at(-1);
    const isNext = run?.at(-1)?.toMs === unit.fromMs;
    if (isNext && unit.toMs - (run?.[0]?.fromMs ?? 0) <= mostMs) run?.push(unit);
    else runs.push([unit]);
  }
  return runs;
}

const keptAs = ({ widthMs, fromMs }: Unit): Omit<Kept, 'key'> => ({
  widthMs: widthMs ?? 0,
  fromMs,
});
