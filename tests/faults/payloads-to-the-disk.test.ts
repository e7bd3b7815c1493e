/**
 * Rubbish on every topic of the demonstration boat, through decoding, rules and the store: nothing
 * throws, and what reaches the panel and the disk is finite. `PAYLOADS=10000000 npm run soak:fuzz`.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, onTestFinished, test } from 'vitest';
import { manualClock } from '../../daemon/clock.ts';
import { createCounters } from '../../daemon/intake/intake-counters.ts';
import { createMessageIntake } from '../../daemon/intake/message-intake.ts';
import { planPoints } from '../../daemon/intake/point-plan.ts';
import { REFUSALS } from '../../daemon/intake/refusals.ts';
import { Station } from '../../daemon/station.ts';
import { openStore } from '../../daemon/store/store.ts';
import { settingFor } from '../simulator/demo-boats.ts';
import { seeded, randomPayload } from './random-payloads.ts';
import { recorded } from './station-run.ts';

const PAYLOADS = Number(process.env['PAYLOADS'] ?? '20000');
const SEED = 20_261_125;
const START_MS = Date.UTC(2026, 5, 1);
/** Payloads between two evaluations, of one second of the daemon's clock. */
const A_SECOND = PAYLOADS > 1_000_000 ? 5000 : 200;

test(`${PAYLOADS} random payloads of seed ${SEED}`, { timeout: 4 * 3_600_000 }, async () => {
  const folder = mkdtempSync(join(tmpdir(), 'panelward-fuzz-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  const { boat } = settingFor('quiet-day', 1);
  const said = recorded(settingFor('quiet-day', 1), 30_000);
  const good = new Map<string, Buffer[]>();
  for (let atMs = 1000; atMs <= 30_000; atMs += 1000) {
    for (const { topic, payload } of said.said(atMs).mqtt) {
      good.set(topic, [...(good.get(topic) ?? []), Buffer.from(payload)]);
    }
  }
  const topics = [...good];
  const clock = manualClock(START_MS);
  const log = { info: () => {}, warn: () => {} };
  const store = openStore({ folder, clock, log: log.info, ballastBytes: 0 });
  const station = new Station(boat, store, clock);
  const counters = createCounters(clock, log);
  const channel = { messages: 0, readings: 0 };
  const { byTopic } = planPoints(boat);
  let heard = 0;
  const messages = createMessageIntake({
    byTopic,
    clock,
    counters,
    channel,
    onReading(input) {
      if (!('isSilent' in input)) {
        heard += 1;
        if (typeof input.value === 'number' && !Number.isFinite(input.value)) {
          throw new Error(`${input.pointId} reads ${input.value}`);
        }
      }
      station.take(input);
    },
  });

  const random = seeded(SEED);
  for (let n = 1; n <= PAYLOADS; n += 1) {
    const [topic, payloads] = topics[Math.floor(random() * topics.length)] ?? ['', []];
    const payload = randomPayload(random, payloads);
    messages.take({ topic, payload, mayBeRepeat: random() < 0.05, isRestored: random() < 0.05 });
    if (n % A_SECOND !== 0) continue;
    clock.advanceTo(clock.nowMs() + 1000);
    station.evaluate();
  }
  station.evaluate();

  const known = Object.keys(REFUSALS);
  const refused = counters.refused();
  for (const { reason } of refused) expect(known).toContain(reason);
  expect(refused.length).toBeGreaterThan(5);
  expect(heard).toBeGreaterThan(PAYLOADS / 100);
  // JSON has no way to write what is not finite but null, so look before it is written.
  expect(notFinite(station.panel)).toEqual([]);

  station.stop();
  store.flush();
  let onDisk = 0;
  const span = { points: [...boat.points.keys()], fromMs: START_MS, toMs: clock.nowMs() + 1 };
  for await (const batch of store.reader.readings(span)) {
    for (const { value } of batch) {
      onDisk += 1;
      if (typeof value === 'number' && !Number.isFinite(value)) throw new Error('not finite');
    }
  }
  expect(onDisk).toBeGreaterThan(0);
  store.close();
  expect(({} as Record<string, unknown>)['v']).toBeUndefined();
  expect(Object.keys(Object.prototype)).toEqual([]);
});

/** Where in a value a number stands that is none. */
function notFinite(value: unknown, path = ''): string[] {
  if (typeof value === 'number') return Number.isFinite(value) ? [] : [`${path}: ${value}`];
  if (typeof value !== 'object' || value === null) return [];
  const members = value instanceof Map ? [...value] : Object.entries(value);
  return members.flatMap(([key, member]) => notFinite(member, `${path}/${key}`));
}
