/**
 * A year of history, made chunk by chunk: a day of hours is packed once for each kind of point and
 * its bytes are used for every day, which changes neither their size nor what reading them costs.
 */
import type { Database } from 'better-sqlite3';
import { packTimes, packValues } from '../../daemon/store/history/chunk.ts';
import { dayRows } from '../../daemon/store/history/folding.ts';
import { Accumulator } from '../../daemon/store/history/rollup.ts';
import { packRollups } from '../../daemon/store/history/rollup-blob.ts';
import { sealed } from '../../daemon/store/history/sealed.ts';
import { DAY_MS, HOUR_MS, keyOf } from '../../daemon/store/history/tables.ts';
import { FOLDED_TIERS, MINUTES } from '../../daemon/store/history/tiers.ts';
import { sampleValue, seededNoise } from './history-folder.ts';

/** Kinds of points; further points are as one of these. */
const KINDS = 4;
const GAP_MS = 5000;

interface Hour {
  times: Uint8Array;
  values: Uint8Array;
  minutes: Accumulator;
  packedMinutes: Uint8Array;
}

/** Fills an empty `history.db` with `days` from `startMs` on, of points `p0`, `p1`, ... or by `idOf`. */
export function fillYear(
  db: Database,
  startMs: number,
  days: number,
  points: number,
  idOf = (point: number): string => `p${point}`,
): void {
  db.pragma('synchronous = OFF');
  const kinds = Array.from({ length: KINDS }, (_, kind) => hoursOf(kind));
  const addPoint = db.prepare('INSERT INTO point (number, id) VALUES (?, ?)');
  for (let point = 0; point < points; point++) addPoint.run(point + 1, idOf(point));
  const addTimes = db.prepare('INSERT INTO times VALUES (?, ?)');
  const addChunk = db.prepare('INSERT INTO chunk VALUES (?, ?, 3600, ?)');
  const addMinutes = db.prepare('INSERT INTO minutes VALUES (?, ?)');
  const firstHour = startMs / HOUR_MS;
  db.transaction(() => {
    for (let at = 0; at < days * 24; at++) {
      const hour = firstHour + at;
      const timesKey = keyOf(hour, 0);
      addTimes.run(timesKey, sealed(kinds[0]?.[0]?.times ?? new Uint8Array(), timesKey));
      for (let point = 0; point < points; point++) {
        const kept = kinds[point % KINDS]?.[at % 24];
        if (kept === undefined) continue;
        const key = keyOf(hour, point + 1);
        addChunk.run(key, timesKey, sealed(kept.values, key));
        addMinutes.run(key, sealed(kept.packedMinutes, key));
      }
    }
    for (let point = 0; point < points; point++) {
      addTiers(db, startMs, days, point, kinds[point % KINDS] ?? []);
    }
  })();
}

/** A day of hours, each as if it were the first of 1970. */
function hoursOf(kind: number): Hour[] {
  const noise = seededNoise(kind + 1);
  return Array.from({ length: 24 }, (_, hour) => {
    const times = Float64Array.from({ length: 3600 }, (_unused, second) => second * 1000 + 400);
    const values = Array.from(times, (_time, second) =>
      sampleValue(kind, hour * 3600 + second, noise),
    );
    const minutes = new Accumulator(0, MINUTES.widthMs, 60);
    minutes.addColumn({ times, values }, 0, GAP_MS, null);
    return {
      times: packTimes(times, 0, 'long'),
      values: packValues(values, 'long'),
      minutes,
      packedMinutes: packRollups(minutes, MINUTES.effort),
    };
  });
}

function addTiers(
  db: Database,
  startMs: number,
  days: number,
  point: number,
  hours: readonly Hour[],
) {
  for (const tier of FOLDED_TIERS) {
    const add = db.prepare(`INSERT INTO ${tier.table} VALUES (?, ?)`);
    const day = dayRows(tier, 0, (hour) => moved(hours[hour]?.minutes, hour));
    const [first, last] = [startMs, startMs + days * DAY_MS - 1].map((ms) =>
      Math.floor(ms / tier.spanMs),
    );
    for (let span = first ?? 0; span <= (last ?? 0); span++) {
      const rows = new Accumulator(span * tier.spanMs, tier.widthMs, tier.spanMs / tier.widthMs);
      for (let atMs = rows.fromMs; atMs < rows.toMs; atMs += DAY_MS) {
        if (atMs >= startMs && atMs < startMs + days * DAY_MS) rows.addRows(day, atMs);
      }
      const key = keyOf(span, point + 1);
      add.run(key, sealed(packRollups(rows, tier.effort), key));
    }
  }
}

/** The minutes of the first hour of 1970 at a later hour of that day. */
function moved(minutes: Accumulator | undefined, hour: number): Accumulator | null {
  if (minutes === undefined) return null;
  const rows = new Accumulator(hour * HOUR_MS, MINUTES.widthMs, 60);
  rows.addRows(minutes, hour * HOUR_MS);
  return rows;
}
