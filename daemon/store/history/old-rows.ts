/**
 * Takes over the readings of the first version, one row each, into chunks. Each slice puts some
 * thousand rows into their chunks and deletes them in the same transaction, so that cutting it in
 * the middle loses nothing and repeats nothing. Until all are over, readers look at both.
 */
import type { Statement } from 'better-sqlite3';
import type { ChunkTables } from './chunk-tables.ts';
import { type ChunkWriter, nothingPrepared } from './chunk-writer.ts';
import { HOUR_MS } from './tables.ts';

const SLICE_ROWS = 20_000;

type OldRow = [atMs: number, point: number, value: number | string];

export class OldRows {
  readonly #tables: ChunkTables;
  readonly #writer: ChunkWriter;
  readonly #next: Statement<[number, number, number], OldRow>;
  readonly #drop: Statement<[number, number, number]>;

  constructor(tables: ChunkTables, writer: ChunkWriter) {
    this.#tables = tables;
    this.#writer = writer;
    this.#next = tables.db
      .prepare<[number, number, number], OldRow>(
        'SELECT at_ms, point, value FROM reading WHERE at_ms >= ? AND at_ms < ? ORDER BY at_ms, point LIMIT ?',
      )
      .raw();
    this.#drop = tables.db.prepare(
      'DELETE FROM reading WHERE at_ms >= ? AND (at_ms, point) <= (?, ?)',
    );
  }

  *run(): Generator<void> {
    for (let span = this.#tables.oldSpan(); span !== null; span = this.#tables.oldSpan()) {
      const [firstMs] = span;
      const hour = Math.floor(firstMs / HOUR_MS);
      this.#take(hour, this.#next.all(firstMs, (hour + 1) * HOUR_MS, SLICE_ROWS));
      yield;
    }
  }

  #take(hour: number, rows: readonly OldRow[]): void {
    const byPoint = new Map<number, { times: number[]; values: (number | string)[] }>();
    for (const [atMs, point, value] of rows) {
      let column = byPoint.get(point);
      if (column === undefined) byPoint.set(point, (column = { times: [], values: [] }));
      column.times.push(atMs);
      column.values.push(value);
    }
    const prepared = nothingPrepared();
    for (const [point, column] of byPoint) this.#writer.prepare(prepared, point, hour, column);
    const [firstMs = 0] = rows[0] ?? [];
    const [lastMs = 0, lastPoint = 0] = rows.at(-1) ?? [];
    this.#writer.write(prepared, () => this.#drop.run(firstMs, lastMs, lastPoint));
  }
}
