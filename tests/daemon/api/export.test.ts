/** Recorded readings as a file over HTTP. */
import { get, type IncomingMessage } from 'node:http';
import { setTimeout as pause } from 'node:timers/promises';
import { parse } from 'csv-parse/sync';
import { describe, expect, it } from 'vitest';
import { errorAnswerSchema } from '../../../daemon/api/contract.ts';
import { ask, START_MS, type Started, started } from './fixtures.ts';

const SECONDS = 120;

async function recorded(): Promise<Started> {
  const own = await started();
  for (let second = 0; second < SECONDS; second++) {
    const atMs = START_MS + second * 1000;
    own.daemon.store.addReading({ pointId: 'main-a-l1-amps', value: second / 4, atMs });
    if (second >= 60) continue;
    own.daemon.store.addReading({ pointId: 'main-a-l1-volts', value: 120.5, atMs });
  }
  return own;
}

const span = `from=${START_MS}&to=${START_MS + SECONDS * 1000}`;

describe('GET /api/v1/export', () => {
  it('gives CSV as a file with a name that says what is in it', async () => {
    const { api } = await recorded();
    const path = `/api/v1/export?points=main-a-l1-amps,main-a-l1-volts&${span}`;
    const { status, headers, text } = await ask(api, path);
    expect(status).toBe(200);
    expect(headers['content-type']).toBe('text/csv; charset=utf-8; header=present');
    expect(headers['content-disposition']).toBe(
      'attachment; filename="panelward-Testing-the-Waters-20260501T0600Z-20260501T0602Z.csv"',
    );
    const [head, ...rows]: string[][] = parse(text);
    expect(head).toEqual(['time (UTC)', 'main-a-l1-amps (A)', 'main-a-l1-volts (V)']);
    expect(rows).toHaveLength(SECONDS);
    expect(rows[4]).toEqual(['2026-05-01T06:00:04.000Z', '1', '120.5']);
    expect(rows[100]).toEqual(['2026-05-01T06:01:40.000Z', '25', '']);
  });

  it('gives JSON lines, of all points where none are named', async () => {
    const { api } = await recorded();
    const { headers, text } = await ask(api, `/api/v1/export?${span}&format=jsonl`);
    expect(headers['content-type']).toBe('application/jsonl; charset=utf-8');
    const lines = text.trimEnd().split('\n');
    expect(lines).toHaveLength(SECONDS + 60);
    expect(JSON.parse(lines[0] ?? '')).toEqual({
      at: '2026-05-01T06:00:00.000Z',
      point: 'main-a-l1-volts',
      value: 120.5,
      unit: 'V',
    });
  });

  it('is UTC after the clock of this start was put right', async () => {
    const { api, daemon } = await recorded();
    const boot = { startsAtMs: 0, machineRun: null, quality: 'corrected' } as const;
    daemon.store.recordBoots([{ ...boot, number: 1, offsetMs: 3_600_000 }]);
    const { headers, text } = await ask(api, `/api/v1/export?${span}&points=main-a-l1-amps`);
    expect(text.split('\n')[1]).toBe('2026-05-01T07:00:00.000Z,0');
    expect(headers['content-disposition']).toContain('20260501T0700Z');
  });

  it('of a time without readings is the header alone', async () => {
    const { api } = await recorded();
    const { status, text } = await ask(api, '/api/v1/export?points=main-a-l1-amps&from=1&to=9');
    expect([status, text]).toEqual([200, 'time (UTC),main-a-l1-amps (A)\n']);
  });

  it.each([
    [`?points=nowhere&${span}`, /No such point: `nowhere`/],
    [`?points=main-a-l1-amps&from=5&to=5`, /`to` must be after `from`/],
    [`?points=main-a-l1-amps&from=5`, /`to` in the query must be a number, got nothing/],
    [`?${span}&format=xls`, /`format` in the query must be one of csv, jsonl/],
    [`?${span}&buckets=4`, /Unknown in the query: `buckets`/],
  ])('refuses %s', async (query, says) => {
    const { api } = await started();
    const { status, text } = await ask(api, `/api/v1/export${query}`);
    expect(status).toBe(400);
    expect(errorAnswerSchema.parse(JSON.parse(text)).error.message).toMatch(says);
  });

  it('answers 503 when nothing can be read, and says why in the log', async () => {
    const { api, daemon, lines } = await started();
    daemon.exportText = async function* () {
      yield await Promise.reject<string>(new Error('disk I/O error'));
    };
    const { status } = await ask(api, `/api/v1/export?${span}`);
    expect(status).toBe(503);
    expect(lines.join('\n')).toContain('disk I/O error');
  });
});

const opened = (port: number): Promise<IncomingMessage> =>
  new Promise((resolve, reject) => {
    const path = `/api/v1/export?${span}`;
    get({ host: '127.0.0.1', port, path, agent: false }, resolve).on('error', reject);
  });

describe('a client', () => {
  it('that does not read stops the reading, and one that goes away ends it', async () => {
    const { api, daemon } = await started();
    let pieces = 0;
    let hasEnded = false;
    daemon.exportText = async function* (_, signal) {
      try {
        while (!signal.aborted) {
          pieces += 1;
          yield await Promise.resolve('x'.repeat(10_000));
        }
      } finally {
        hasEnded = true;
      }
    };
    const response = await opened(api.port);
    response.pause();
    await expect.poll(() => pieces).toBeGreaterThan(1);
    // Buffers of the system fill up, and then nothing more is made.
    let before = -1;
    while (before !== pieces) {
      before = pieces;
      await pause(150);
    }
    expect(pieces * 10_000).toBeLessThan(30e6);
    response.destroy();
    await expect.poll(() => hasEnded).toBe(true);
  });

  it('is turned away while two others are served, and let in after', async () => {
    const { api, daemon } = await started();
    daemon.exportText = async function* (_, signal) {
      while (!signal.aborted) yield await Promise.resolve('x'.repeat(100_000));
    };
    const both = await Promise.all([opened(api.port), opened(api.port)]);
    const third = await ask(api, `/api/v1/export?${span}`);
    expect(third.status).toBe(503);
    expect(third.text).toContain('Two exports run already.');
    for (const each of both) each.destroy();
    daemon.exportText = async function* () {
      yield await Promise.resolve('all');
    };
    await expect.poll(async () => (await ask(api, `/api/v1/export?${span}`)).status).toBe(200);
  });

  it('sees a file that could not be finished as broken off', async () => {
    const { api, daemon, lines } = await started();
    daemon.exportText = async function* () {
      yield await Promise.resolve('the beginning\n');
      throw new Error('disk I/O error');
    };
    const response = await opened(api.port);
    const ended = new Promise<boolean>((resolve) => {
      response.on('error', () => resolve(false));
      response.on('end', () => resolve(response.complete));
    });
    response.resume();
    expect(await ended).toBe(false);
    await expect.poll(() => lines.join('\n')).toContain('An export ended too early');
  });
});
