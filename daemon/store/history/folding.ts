/**
 * Folds the minutes of a day that is over into quarters of an hour, hours and days. A day whose
 * minutes change later, because readings came late, is folded again.
 */
import type { Statement } from 'better-sqlite3';
import type { ChunkTables } from './chunk-tables.ts';
import { Accumulator } from './rollup.ts';
import { packRollups } from './rollup-blob.ts';
import { sealed } from './sealed.ts';
import { DAY_MS, keyOf, pointOf, spanOf } from './tables.ts';
import { FOLDED_TIERS, MINUTES, type Tier } from './tiers.ts';

const HOURS_A_DAY = 24;
/** Points between two breaths. */
const SLICE_POINTS = 4;

/** The minutes of a day as rows of a wider tier. */
export function dayRows(
  tier: Tier,
  day: number,
  minutesOf: (hour: number) => Accumulator | null,
): Accumulator {
  const rows = new Accumulator(day * DAY_MS, tier.widthMs, DAY_MS / tier.widthMs);
  for (let hour = day * HOURS_A_DAY; hour < (day + 1) * HOURS_A_DAY; hour++) {
    const minutes = minutesOf(hour);
    if (minutes !== null) rows.addRows(minutes);
  }
  return rows;
}

interface FoldedBlob {
  tier: Tier;
  key: number;
  packed: Buffer;
}

export class Folding {
  readonly #tables: ChunkTables;
  readonly #unfolded: Statement<[number], number>;
  readonly #isFolded: Statement<[number]>;
  readonly #set: Map<Tier, Statement<[number, Buffer]>>;

  constructor(tables: ChunkTables) {
    const { db } = tables;
    this.#tables = tables;
    this.#unfolded = db
      .prepare<[number], number>('SELECT key FROM unfolded WHERE key < ? ORDER BY key')
      .pluck();
    this.#isFolded = db.prepare('DELETE FROM unfolded WHERE key = ?');
    this.#set = new Map(
      FOLDED_TIERS.map((tier) => [
        tier,
        db.prepare(`INSERT OR REPLACE INTO ${tier.table} (key, packed) VALUES (?, ?)`),
      ]),
    );
  }

  /** Folds every day before `day`, in slices; each day of all points is one transaction. */
  *run(day: number): Generator<void> {
    const byDay = new Map<number, number[]>();
    for (const key of this.#unfolded.all(keyOf(day, 0))) {
      const keys = byDay.get(spanOf(key));
      if (keys === undefined) byDay.set(spanOf(key), [key]);
      else keys.push(key);
    }
    for (const keys of byDay.values()) {
      const blobs: FoldedBlob[] = [];
      for (const [at, key] of keys.entries()) {
        if (at % SLICE_POINTS === 0) yield;
        for (const tier of FOLDED_TIERS) blobs.push(this.#fold(tier, pointOf(key), spanOf(key)));
      }
      this.#write(keys, blobs);
    }
  }

  #fold(tier: Tier, point: number, day: number): FoldedBlob {
    const span = Math.floor((day * DAY_MS) / tier.spanMs);
    const whole = new Accumulator(span * tier.spanMs, tier.widthMs, tier.spanMs / tier.widthMs);
    const old = this.#tables.rollups(tier, point, span);
    if (old !== null) {
      for (let at = 0; at < old.length; at++) {
        const isOfDay = Math.floor((old.fromMs + at * old.widthMs) / DAY_MS) === day;
        if (!isOfDay) whole.addRow(old, at, 0);
      }
    }
    whole.addRows(dayRows(tier, day, (hour) => this.#tables.rollups(MINUTES, point, hour)));
    const key = keyOf(span, point);
    return { tier, key, packed: sealed(packRollups(whole, tier.effort), key) };
  }

  #write(keys: readonly number[], blobs: readonly FoldedBlob[]): void {
    this.#tables.db
      .transaction(() => {
        for (const { tier, key, packed } of blobs) this.#set.get(tier)?.run(key, packed);
        for (const key of keys) this.#isFolded.run(key);
      })
      .immediate();
  }
}
