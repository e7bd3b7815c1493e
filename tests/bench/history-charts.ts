/**
 * Charts of 1,000 buckets over a year of points at 1 Hz (`BENCH_POINTS=60`; the default is fewer, as
 * making 2 GB takes a minute): any point, an hour to a year. Beside each, raw SQL over rollup rows
 * that lie ready in a plain table (seconds for the hour), and GROUP BY over raw rows of an hour,
 * scaled to the span. Then what a chart costs in one month of history and in five years, of a few
 * points.
 */
import Database from 'better-sqlite3';
import { join } from 'node:path';
import { seededNoise, sampleValue, withFolder, withHistory } from './history-folder.ts';
import { fillYear } from './history-year.ts';
import { quantile } from './figures.ts';

const POINTS = Number(process.env['BENCH_POINTS'] ?? 4);
/** Five years of more would not fit many a disk, and what a chart costs goes by the point. */
const FEW_POINTS = Math.min(POINTS, 4);
const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
const START_MS = Date.UTC(2025, 0, 1);
const CHARTS = 60;
const BUCKETS = 1000;

const SPANS = [
  { name: 'hour', spanMs: HOUR_MS, rowMs: 1000 },
  { name: 'day', spanMs: DAY_MS, rowMs: 60_000 },
  { name: 'month', spanMs: 30 * DAY_MS, rowMs: 900_000 },
  { name: 'year', spanMs: 365 * DAY_MS, rowMs: HOUR_MS },
];

type Ask = (fromMs: number, point: number) => Promise<void> | void;

/** Milliseconds of processor time of each of many charts that begin anywhere. */
async function timesOf(
  spanMs: number,
  days: number,
  charts: number,
  points: number,
  ask: Ask,
): Promise<number[]> {
  const room = days * DAY_MS - spanMs;
  const times: number[] = [];
  for (let chart = 0; chart < charts; chart++) {
    const fromMs = START_MS + Math.floor((((chart * 0.618_034) % 1) * room) / HOUR_MS) * HOUR_MS;
    // Processor time, so that a busy machine does not count twice.
    const start = process.cpuUsage();
    await ask(fromMs, (chart * 7) % points);
    const { user, system } = process.cpuUsage(start);
    times.push((user + system) / 1000);
  }
  return times;
}

export async function chartFigures(): Promise<string[]> {
  const own = await ownCharts(365, POINTS);
  const rawHourTook = await rawHour();
  const lines: string[] = [`a year of ${POINTS} points at 1 Hz, 1,000 buckets, one point a chart:`];
  for (const { name, spanMs, rowMs } of SPANS) {
    const times = own.get(name) ?? [];
    const ready = await readyRows(spanMs, rowMs);
    const raw = (rawHourTook * spanMs) / HOUR_MS;
    const [half, most] = [quantile(times, 0.5), quantile(times, 0.95)];
    lines.push(
      `${name}: p50 ${half.toFixed(2)} ms, p95 ${most.toFixed(2)} ms; SQL over ready rows p50 ${ready.toFixed(2)} ms ` +
        `(history takes x ${(half / ready).toFixed(2)}); GROUP BY over raw rows, scaled: ${raw.toFixed(0)} ms (x ${(raw / half).toFixed(0)})`,
    );
  }
  const [month, five] = [await ownCharts(31, FEW_POINTS), await ownCharts(5 * 365, FEW_POINTS)];
  for (const name of ['hour', 'day', 'month']) {
    const [a, b] = [quantile(month.get(name) ?? [], 0.5), quantile(five.get(name) ?? [], 0.5)];
    lines.push(
      `${name}: p50 ${a.toFixed(2)} ms in a month of history, ${b.toFixed(2)} ms in five years (x ${(b / a).toFixed(2)})`,
    );
  }
  return lines;
}

function ownCharts(days: number, points: number): Promise<Map<string, number[]>> {
  return withHistory(START_MS, async ({ engine, path }) => {
    const db = new Database(path);
    fillYear(db, START_MS, days, points);
    db.pragma('wal_checkpoint(TRUNCATE)');
    db.close();
    const found = new Map<string, number[]>();
    for (const { name, spanMs } of SPANS) {
      if (spanMs > days * DAY_MS) continue;
      const ask = async (fromMs: number, point: number): Promise<void> => {
        const query = { points: [`p${point}`], fromMs, toMs: fromMs + spanMs, buckets: BUCKETS };
        const { series } = await engine.reader.buckets(query);
        if ((series[0]?.buckets.length ?? 0) < 500) throw new Error(`too few buckets of a ${name}`);
      };
      await timesOf(spanMs, days, 5, points, ask);
      found.set(name, await timesOf(spanMs, days, CHARTS, points, ask));
    }
    return found;
  });
}

/** Milliseconds (p50) of SQL over rows of one width in a table, the point first in its key. */
function readyRows(spanMs: number, rowMs: number): Promise<number> {
  return withFolder(async (folder) => {
    const db = new Database(join(folder, 'ready.db'));
    db.exec(
      'CREATE TABLE ready (point INTEGER, at_ms INTEGER, low, high, sum, count, PRIMARY KEY (point, at_ms)) WITHOUT ROWID',
    );
    const add = db.prepare('INSERT INTO ready VALUES (?, ?, ?, ?, ?, 60)');
    const days = Math.max(4 * HOUR_MS, spanMs) / DAY_MS;
    db.transaction(() => {
      for (let point = 0; point < POINTS; point++) {
        const noise = seededNoise(point);
        for (let atMs = 0; atMs < days * DAY_MS; atMs += rowMs) {
          const value = sampleValue(point, atMs / 1000, noise);
          add.run(point, START_MS + atMs, value - 0.3, value + 0.3, value * 60);
        }
      }
    })();
    const ask = db.prepare(
      `SELECT (at_ms - ?) / ? AS bucket, min(low), max(high), sum(sum), sum(count) FROM ready
       WHERE point = ? AND at_ms >= ? AND at_ms < ? GROUP BY bucket`,
    );
    const width = BigInt(Math.ceil(spanMs / BUCKETS));
    const times = await timesOf(spanMs, days, CHARTS, POINTS, (fromMs, point) => {
      ask.all(BigInt(fromMs), width, point, fromMs, fromMs + spanMs);
    });
    db.close();
    return quantile(times, 0.5);
  });
}

/** Milliseconds (p50) of GROUP BY over an hour of single rows, the point first in the key.*/
function rawHour(): Promise<number> {
  return withFolder(async (folder) => {
    const db = new Database(join(folder, 'raw.db'));
    db.exec(
      'CREATE TABLE reading (at_ms INTEGER, point INTEGER, value, PRIMARY KEY (point, at_ms)) WITHOUT ROWID',
    );
    const add = db.prepare('INSERT INTO reading VALUES (?, ?, ?)');
    const noise = seededNoise(1);
    db.transaction(() => {
      for (let point = 0; point < POINTS; point++) {
        for (let second = 0; second < 3600; second++) {
          add.run(START_MS + second * 1000, point, sampleValue(point, second, noise));
        }
      }
    })();
    const ask = db.prepare(
      `SELECT (at_ms - ?) / 3600 AS bucket, min(value), max(value), avg(value), count(*) FROM reading
       WHERE point = ? AND at_ms >= ? AND at_ms < ? GROUP BY bucket`,
    );
    const times = await timesOf(HOUR_MS, 1 / 24, CHARTS, POINTS, (_fromMs, point) => {
      ask.all(BigInt(START_MS), point, START_MS, START_MS + HOUR_MS);
    });
    db.close();
    return quantile(times, 0.5);
  });
}
