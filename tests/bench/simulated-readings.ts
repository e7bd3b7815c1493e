/**
 * What the store is given on the demo boat: the simulator's noisy sensors, on a bad network, heard
 * through the daemon's own decoding at the millisecond at which each message goes out.
 */
import type { Clock } from '../../daemon/clock.ts';
import { createCounters } from '../../daemon/intake/intake-counters.ts';
import { createDeltaIntake } from '../../daemon/intake/marine-data-deltas.ts';
import { readFrame } from '../../daemon/intake/marine-data-frame.ts';
import { createMessageIntake } from '../../daemon/intake/message-intake.ts';
import { planPoints } from '../../daemon/intake/point-plan.ts';
import { readFileSync } from 'node:fs';
import { type Boat, readBoat, type Reading } from '../../rules/index.ts';
import { createSimulation } from '../../simulator/simulation.ts';
import { HARSH_SENSORS } from '../../simulator/sensors/sensor-faults.ts';
import { quietDay } from '../../simulator/scenarios/quiet-day.ts';
import { sablePlover as ship } from '../../simulator/ships/sable-plover.ts';

export const SIMULATED_START_MS = Date.UTC(2026, 5, 1);
const STEP_MS = 60_000;
const HOUR_MS = 3_600_000;

/** Every reading in order of arrival, an hour at a time, for ever. */
export function* simulateReadings(): Generator<Reading[]> {
  const epochMs = SIMULATED_START_MS;
  const boat = demoBoat();
  const simulation = createSimulation({
    boat,
    ship,
    scenario: quietDay,
    seed: 7,
    faults: HARSH_SENSORS,
    epochMs,
  });
  let nowMs = epochMs;
  let hour: Reading[] = [];
  const clock: Clock = { nowMs: () => nowMs, every: () => () => {}, after: () => () => {} };
  const log = { info: () => {}, warn: () => {} };
  const counters = createCounters(clock, log);
  const channel = { messages: 0, readings: 0, repeated: 0 };
  const take = (input: Reading | { isSilent: true }): void => {
    if (!('isSilent' in input)) hour.push(input);
  };
  const { byTopic, byPath } = planPoints(boat);
  const messages = createMessageIntake({ byTopic, clock, counters, channel, onReading: take });
  const deltas = createDeltaIntake({ byPath, clock, counters, channel, log, onReading: take });
  deltas.subscribed(simulation.marineSelf, epochMs);
  for (let atMs = STEP_MS; ; atMs += STEP_MS) {
    simulation.step(atMs);
    const said = simulation.messagesDue();
    const heard = [
      ...said.mqtt.map((message) => ({ dueMs: epochMs + message.atMs, message, text: '' })),
      ...said.deltas.map((text) => ({ dueMs: timestampOf(text), message: null, text })),
    ].sort((a, b) => a.dueMs - b.dueMs);
    for (const { dueMs, message, text } of heard) {
      nowMs = Math.max(nowMs, dueMs);
      if (message === null) deltas.take(readDelta(text));
      else {
        const { topic, payload } = message;
        const bytes = Buffer.from(payload);
        messages.take({ topic, payload: bytes, mayBeRepeat: false, isRestored: false });
      }
    }
    if (atMs % HOUR_MS !== 0) continue;
    yield hour;
    hour = [];
  }
}

/** The benchmarks run from the project's root. */
export function demoBoat(): Boat {
  const { boat } = readBoat(
    readFileSync('simulator/boats/sable-plover.yaml', 'utf8'),
    'sable-plover',
  );
  if (boat === null) throw new Error('the demo boat cannot be read');
  return boat;
}

function timestampOf(text: string): number {
  return Date.parse(/"timestamp":"([^"]+)"/.exec(text)?.[1] ?? '');
}

function readDelta(text: string) {
  const frame = readFrame(Buffer.from(text));
  if (frame.kind !== 'delta') throw new Error(`no delta: ${text}`);
  return frame;
}
