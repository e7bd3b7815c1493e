/**
 * Recorded readings as text that other programs read: CSV (RFC 4180) or JSON lines. Works on
 * batches as they come from the disk, so a year takes no more memory than a minute. Instants are
 * UTC (ISO 8601); a gap is an empty field, never a zero.
 */
import { stringify } from 'csv-stringify/sync';

/** One batch of readings, in order of time; what `HistoryReader.readings` gives. */
export type Batches = AsyncIterable<
  readonly { pointId: string; atMs: number; value: number | string }[]
>;

export interface ExportedPoint {
  id: string;
  /** Empty for ratios and words. */
  unit: string;
}

/** Present instants of the daemon's clock to UTC, ms since 1970. */
export type UtcOf = (atMs: number) => number;

export const EXPORT_FORMATS = ['csv', 'jsonl'] as const;
export type ExportFormat = (typeof EXPORT_FORMATS)[number];

export const MEDIA_TYPES: Readonly<Record<ExportFormat, string>> = {
  csv: 'text/csv; charset=utf-8; header=present',
  jsonl: 'application/jsonl; charset=utf-8',
};

export function readingsText(
  format: ExportFormat,
  points: readonly ExportedPoint[],
  batches: Batches,
  utcOf: UtcOf,
): AsyncGenerator<string> {
  return format === 'csv' ? csvOf(points, batches, utcOf) : jsonLinesOf(points, batches, utcOf);
}

const instant = (atMs: number, utcOf: UtcOf): string =>
  new Date(Math.round(utcOf(atMs))).toISOString();

/**
 * One row an instant, one column a point in the order given, the unit in the header. Where a point
 * has two readings at one instant, the second has a row of its own.
 */
async function* csvOf(
  points: readonly ExportedPoint[],
  batches: Batches,
  utcOf: UtcOf,
): AsyncGenerator<string> {
  const columnOf = new Map(points.map(({ id }, at) => [id, at + 1]));
  yield stringify([['time (UTC)', ...points.map(headed)]]);
  let row: (string | number)[] | null = null;
  let rowMs = NaN;
  for await (const batch of batches) {
    const rows: (string | number)[][] = [];
    for (const { pointId, atMs, value } of batch) {
      const column = columnOf.get(pointId);
      if (column === undefined) continue;
      if (row === null || atMs !== rowMs || row[column] !== '') {
        if (row !== null) rows.push(row);
        row = [instant(atMs, utcOf), ...points.map(() => '')];
        rowMs = atMs;
      }
      row[column] = value;
    }
    if (rows.length > 0) yield stringify(rows);
  }
  if (row !== null) yield stringify([row]);
}

const headed = ({ id, unit }: ExportedPoint): string => (unit === '' ? id : `${id} (${unit})`);

async function* jsonLinesOf(
  points: readonly ExportedPoint[],
  batches: Batches,
  utcOf: UtcOf,
): AsyncGenerator<string> {
  const unitOf = new Map(points.map(({ id, unit }) => [id, unit]));
  for await (const batch of batches) {
    let text = '';
    for (const { pointId, atMs, value } of batch) {
      const unit = unitOf.get(pointId);
      if (unit === undefined) continue;
      const at = instant(atMs, utcOf);
      const line = { at, point: pointId, value, ...(unit === '' ? {} : { unit }) };
      text += `${JSON.stringify(line)}\n`;
    }
    if (text !== '') yield text;
  }
}
