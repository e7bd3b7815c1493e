/**
 * All that is known of one point, hour by hour, wherever it is: in chunks, in the table of an older
 * version, in memory. A reading that is in several of them counts once.
 */
import { type Column, EMPTY_COLUMN, merged } from './chunk.ts';
import type { ChunkTables } from './chunk-tables.ts';
import { dayRows } from './folding.ts';
import { Accumulator, firstOf, GAP_MOST_MS, gapLimitMs, lastOf } from './rollup.ts';
import { DAY_MS, HOUR_MS } from './tables.ts';
import { MINUTES, type Tier } from './tiers.ts';

export type Memory = ReadonlyMap<number, Column>;

export class PointView {
  readonly #tables: ChunkTables | null;
  readonly #point: number | null;
  readonly #memory: Memory;
  /** Hours that the table of an older version may have readings of. */
  readonly #oldHours: readonly [first: number, last: number] | null;

  /** What `slowGapMs` says of the point. */
  readonly slowMs: number;

  /** `tables` null: there is no file. `memory`: columns by hour, as they were when asked. */
  constructor(tables: ChunkTables | null, pointId: string, memory: Memory, slowMs = 0) {
    this.slowMs = slowMs;
    this.#tables = tables;
    this.#point = tables?.numberOf(pointId) ?? null;
    this.#memory = memory;
    const old = this.#point === null ? null : (tables?.oldSpan() ?? null);
    this.#oldHours = old && [Math.floor(old[0] / HOUR_MS), Math.floor(old[1] / HOUR_MS)];
  }

  column(hour: number): Column {
    const memory = this.#memory.get(hour) ?? EMPTY_COLUMN;
    if (this.#tables === null || this.#point === null) return memory;
    const chunk = this.#tables.chunk(this.#point, hour);
    const old = this.#isOld(hour) ? this.#tables.oldColumn(this.#point, hour) : EMPTY_COLUMN;
    return merged(merged(chunk, old), memory);
  }

  /** The 60 minutes of an hour; null where nothing is known of it. */
  minutes(hour: number): Accumulator | null {
    const isNextNew = this.slowMs > 0 && this.#memory.has(hour + 1);
    if (this.#isOld(hour) || this.#memory.has(hour) || isNextNew) return this.#minutesOf(hour);
    if (this.#tables === null || this.#point === null) return null;
    return this.#tables.minutes(this.#point, hour);
  }

  /** Rows of a wider tier in one of its spans. */
  rollups(tier: Tier, span: number): Accumulator {
    const { spanMs, widthMs } = tier;
    const rows = new Accumulator(span * spanMs, widthMs, spanMs / widthMs);
    const folded =
      this.#tables === null || this.#point === null
        ? null
        : this.#tables.rollups(tier, this.#point, span);
    const days = spanMs / DAY_MS;
    const firstDay = span * days;
    const fresh = Array.from({ length: days }, (_, day) => this.#isFresh(firstDay + day));
    if (folded !== null) {
      for (let at = 0; at < folded.length; at++) {
        const day = Math.floor((at * widthMs) / DAY_MS);
        if (fresh[day] !== true) rows.addRow(folded, at, 0);
      }
    }
    for (const [day, isFresh] of fresh.entries()) {
      if (isFresh) rows.addRows(dayRows(tier, firstDay + day, (hour) => this.minutes(hour)));
    }
    return rows;
  }

  #minutesOf(hour: number): Accumulator {
    const column = this.column(hour);
    const minutes = new Accumulator(hour * HOUR_MS, MINUTES.widthMs, 60);
    const { slowMs } = this;
    const sinceMs = hour * HOUR_MS - Math.max(GAP_MOST_MS, slowMs);
    const before = lastOf(this.column(hour - 1), sinceMs);
    // Of a slow point the stretch to its next reading is much of an hour.
    const after = slowMs > 0 ? firstOf(this.column(hour + 1)) : null;
    minutes.addColumn(column, 0, gapLimitMs(column.times, slowMs), before, after);
    return minutes;
  }

  /** Whether the wider tiers do not have that day, or not all of it. */
  #isFresh(day: number): boolean {
    const [first, last] = [day * 24, (day + 1) * 24 - 1];
    for (const hour of this.#memory.keys()) if (hour >= first && hour <= last) return true;
    if (this.#oldHours !== null && this.#oldHours[0] <= last && this.#oldHours[1] >= first) {
      return true;
    }
    if (this.#tables === null || this.#point === null) return false;
    return this.#tables.isUnfolded(this.#point, day);
  }

  #isOld(hour: number): boolean {
    return this.#oldHours !== null && hour >= this.#oldHours[0] && hour <= this.#oldHours[1];
  }
}
