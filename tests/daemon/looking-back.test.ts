/** `panelward export`, `survey` and `replay` over a real record, with and without its daemon. */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parse } from 'csv-parse/sync';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { manualClock } from '../../daemon/clock.ts';
import { exportReadings, replaySpan, surveySpan } from '../../daemon/looking-back.ts';
import type { Output } from '../../daemon/looking-back.ts';
import { openBoatFile } from '../../daemon/boat-file.ts';
import { Station } from '../../daemon/station.ts';
import { openStore } from '../../daemon/store/store.ts';
import type { Store } from '../../daemon/store/store.ts';

const BOAT_FILE = new URL('../fixtures/boats/small.yaml', import.meta.url).pathname;
const START = Date.UTC(2026, 7, 1, 11, 50);
const MINUTES = 20;
const END = START + MINUTES * 60_000;

const folder = mkdtempSync(join(tmpdir(), 'panelward-looking-back-'));
let store: Store;

/** Twenty minutes on shore power, over the full hour; it goes after eight and is back after thirteen. */
beforeAll(() => {
  const { boat } = openBoatFile(BOAT_FILE);
  if (!boat) throw new Error('the small test boat is not usable');
  const clock = manualClock(START);
  store = openStore({ folder, clock, log: () => {}, ballastBytes: 0 });
  const station = new Station(boat, store, clock);
  station.start();
  for (let atMs = START; atMs < END; atMs += 1000) {
    const minute = (atMs - START) / 60_000;
    const isOn = minute < 8 || minute >= 13;
    const noise = ((atMs / 1000) % 7) * 0.05;
    const values = {
      'inlet-volts': isOn ? 119 + noise : 0,
      'inlet-amps': isOn ? 10 + noise : 0,
      'panel-volts': isOn ? 118 + noise : 0,
      'panel-amps': isOn ? 10 + noise : 0,
      'heater-amps': isOn ? 10 : 0,
      'pump-amps': 0,
      'air-amps': 0,
      'generator-volts': 0,
      'generator-amps': 0,
    };
    for (const [pointId, value] of Object.entries(values)) station.take({ pointId, value, atMs });
    clock.advanceTo(atMs + 1000);
  }
  station.stop();
  store.flush();
});

afterAll(() => {
  store.close();
  rmSync(folder, { recursive: true });
});

function collected(): { output: Output; text: () => string; notes: string[] } {
  const pieces: string[] = [];
  const notes: string[] = [];
  const write = (text: string): Promise<void> => Promise.resolve(void pieces.push(text));
  return {
    output: { write, note: (line) => void notes.push(line) },
    text: () => pieces.join(''),
    notes,
  };
}

const span = {
  boat: BOAT_FILE,
  folder,
  from: '2026-08-01T11:50Z',
  to: '2026-08-01T12:10Z',
  nowMs: END,
};

describe('export', () => {
  it('gives every reading, in order, while the daemon holds the record', async () => {
    const { output, text } = collected();
    const given = { ...span, points: ['heater-amps', 'panel-volts'], format: 'csv' as const };
    expect(await exportReadings(given, output)).toBe(0);
    const [head, ...rows]: string[][] = parse(text());
    expect(head).toEqual(['time (UTC)', 'heater-amps (A)', 'panel-volts (V)']);
    expect(rows).toHaveLength(MINUTES * 60);
    expect(rows[0]).toEqual(['2026-08-01T11:50:00.000Z', '10', expect.stringMatching(/^118/)]);
    expect(rows[8 * 60 + 1]).toEqual(['2026-08-01T11:58:01.000Z', '0', '0']);
  });

  it('takes all points where none are named, as JSON lines too', async () => {
    const { output, text } = collected();
    const given = { ...span, to: '2026-08-01T11:51Z', points: null, format: 'jsonl' as const };
    expect(await exportReadings(given, output)).toBe(0);
    expect(text().trimEnd().split('\n')).toHaveLength(60 * 9);
  });

  it('names points that the boat file does not have', async () => {
    const { output, notes, text } = collected();
    const given = { ...span, points: ['heater', 'panel-volts'], format: 'csv' as const };
    expect(await exportReadings(given, output)).toBe(1);
    expect(notes).toEqual(['The boat file has no point "heater".']);
    expect(text()).toBe('');
  });
});

describe('survey', () => {
  it('says what the heater used: 15 of 20 minutes of 10 A at 118 V, 0.295 kWh', async () => {
    const { output, text } = collected();
    expect(await surveySpan({ ...span, isJson: false }, output)).toBe(0);
    expect(text()).toMatch(/^Heater +0\.(29|30) kWh\*/m);
    expect(text()).toMatch(/^Load survey of Small Test Boat$/m);
  });

  it('gives other programs all figures', async () => {
    const { output, text } = collected();
    expect(await surveySpan({ ...span, isJson: true }, output)).toBe(0);
    const survey: { parts: { id: string; power: { runs: { starts: number } } }[] } =
      JSON.parse(text());
    expect(survey.parts.find(({ id }) => id === 'heater')?.power.runs.starts).toBe(1);
  });
});

describe('replay', () => {
  it('of the same boat file tells what was told then', async () => {
    const { output, text } = collected();
    expect(await replaySpan(span, output)).toBe(0);
    expect(text()).toMatch(/^then and now +2026-08-0. ..:..:.. +\S.* /m);
    expect(text()).toMatch(/^Told then and now: [1-9]\d*\. Then only: 0\. Now only: 0\.$/m);
  });

  it('of a changed boat file shows what would have come', async () => {
    const changed = join(folder, 'weak-inlet.yaml');
    writeFileSync(changed, readFileSync(BOAT_FILE, 'utf8').replace('amps: 30 }', 'amps: 9 }'));
    const { output, text } = collected();
    expect(await replaySpan({ ...span, boat: changed }, output)).toBe(0);
    expect(text()).toMatch(/^now only +.*Inlet/m);
  });
});

describe('what stands in the way', () => {
  it.each([
    [{ from: 'yesterday' }, /^--from must be a date \(2026-08-01\),.*got "yesterday"\.$/],
    [{ to: '2026-02-30' }, /^--to must be .*got "2026-02-30"\.$/],
    [{ to: '2026-08-01T11:50Z' }, /^--to must be after --from\.$/],
    [{ folder: join(folder, 'nothing') }, /^There is no record in .*nothing: no alerts\.db\.$/],
    [{ boat: join(folder, 'no.yaml') }, /no\.yaml/],
  ])('%j is said in a line', async (wrong, line) => {
    const { output, notes, text } = collected();
    expect(await replaySpan({ ...span, ...wrong }, output)).toBe(1);
    expect(notes[0]).toMatch(line);
    expect(text()).toBe('');
  });
});
