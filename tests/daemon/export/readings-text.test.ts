/** Exports read back by a reader that is not ours. */
import { parse } from 'csv-parse/sync';
import { describe, expect, it } from 'vitest';
import { readingsText } from '../../../daemon/export/readings-text.ts';
import type { ExportFormat } from '../../../daemon/export/readings-text.ts';

const T = Date.UTC(2026, 9, 25, 0, 59, 59, 500);
const POINTS = [
  { id: 'house-volts', unit: 'V' },
  { id: 'selector "1, 2"', unit: '' },
  { id: 'cabin', unit: '°C' },
];
type Readings = { pointId: string; atMs: number; value: number | string }[];

async function* inBatches(readings: Readings, size: number): AsyncGenerator<Readings> {
  for (let at = 0; at < readings.length; at += size) yield readings.slice(at, at + size);
}

async function textOf(
  format: ExportFormat,
  readings: Readings,
  { size = 2, offsetMs = 0 } = {},
): Promise<string> {
  let text = '';
  const lines = readingsText(format, POINTS, inBatches(readings, size), (ms) => ms + offsetMs);
  for await (const piece of lines) text += piece;
  return text;
}

const volts = (atMs: number, value: number) => ({ pointId: 'house-volts', atMs, value });
const word = (atMs: number, value: string) => ({ pointId: 'selector "1, 2"', atMs, value });

const SOME: Readings = [
  volts(T, 12.61),
  word(T, 'SHORE, "bow"'),
  volts(T + 1000, 12.6),
  word(T + 2000, 'OFF'),
];

describe('CSV', () => {
  it('has units in its header, UTC in ISO 8601, one row an instant, and empty fields for gaps', async () => {
    const rows = parse(await textOf('csv', SOME));
    expect(rows).toEqual([
      ['time (UTC)', 'house-volts (V)', 'selector "1, 2"', 'cabin (°C)'],
      ['2026-10-25T00:59:59.500Z', '12.61', 'SHORE, "bow"', ''],
      ['2026-10-25T01:00:00.500Z', '12.6', '', ''],
      ['2026-10-25T01:00:01.500Z', '', 'OFF', ''],
    ]);
  });

  it('is the same however the disk cut it into batches', async () => {
    const whole = await textOf('csv', SOME, { size: 100 });
    for (const size of [1, 2, 3]) expect(await textOf('csv', SOME, { size })).toBe(whole);
  });

  it('keeps both of two readings of one point at one instant', async () => {
    const rows = parse(await textOf('csv', [volts(T, 12.5), volts(T, 12.7)]));
    expect(rows.slice(1).map(([, value]: string[]) => value)).toEqual(['12.5', '12.7']);
  });

  it('writes every digit a reading has', async () => {
    const rows = parse(await textOf('csv', [volts(T, 0.1 + 0.2), volts(T + 1, 1e-7)]));
    expect(rows.slice(1).map(([, value]: string[]) => Number(value))).toEqual([0.1 + 0.2, 1e-7]);
  });

  it('of nothing is its header', async () => {
    expect(parse(await textOf('csv', []))).toHaveLength(1);
  });
});

it('puts instants right where the wall clock was wrong', async () => {
  const rows = parse(await textOf('csv', [volts(T, 12)], { offsetMs: 3_600_000 }));
  expect(rows[1]?.[0]).toBe('2026-10-25T01:59:59.500Z');
});

it('writes JSON lines, each a value of its own', async () => {
  const lines = (await textOf('jsonl', SOME)).trimEnd().split('\n');
  expect(lines.map((line): unknown => JSON.parse(line))).toEqual([
    { at: '2026-10-25T00:59:59.500Z', point: 'house-volts', value: 12.61, unit: 'V' },
    { at: '2026-10-25T00:59:59.500Z', point: 'selector "1, 2"', value: 'SHORE, "bow"' },
    { at: '2026-10-25T01:00:00.500Z', point: 'house-volts', value: 12.6, unit: 'V' },
    { at: '2026-10-25T01:00:01.500Z', point: 'selector "1, 2"', value: 'OFF' },
  ]);
});
