/**
 * A scenario in one process, without sockets: the simulator's messages go through the daemon's own
 * decoding into a watch, and whoever asks can compare the watch with the truth at every look.
 */
import { createCounters } from '../../daemon/intake/intake-counters.ts';
import { manualClock } from '../../daemon/clock.ts';
import type { Clock } from '../../daemon/clock.ts';
import { createDeltaIntake } from '../../daemon/intake/marine-data-deltas.ts';
import { readFrame } from '../../daemon/intake/marine-data-frame.ts';
import { createMessageIntake } from '../../daemon/intake/message-intake.ts';
import { planPoints } from '../../daemon/intake/point-plan.ts';
import { createWatch } from '../../rules/index.ts';
import type { AlertEvent, Boat, Evaluation, Reading, Silence, Watch } from '../../rules/index.ts';
import { createSimulation } from '../../simulator/simulation.ts';
import type { Messages, Simulation, SimulationSetting } from '../../simulator/simulation.ts';

export const START_MS = Date.UTC(2026, 5, 1);

export interface Told {
  /** Seconds after the start of the scenario. */
  atSeconds: number;
  type: AlertEvent['type'];
  /** Rule and subject: the alert's id without its number. */
  key: string;
  event: AlertEvent;
}

/** What whoever compares sees after every evaluation. */
export interface Look extends Evaluation {
  /** Milliseconds after the start of the scenario. */
  atMs: number;
  simulation: Simulation;
  watch: Watch;
}

/** Something that is done to panelward rather than to the boat. */
export interface WatchStep {
  atMs: number;
  /** May give back another watch, which goes on in the place of the first: a restart. */
  act: (watch: Watch, nowMs: number) => Watch | void;
}

export interface FastRun extends SimulationSetting {
  /** Milliseconds between two evaluations; the daemon's is 1000. */
  evaluateEveryMs: number;
  untilMs: number;
  /** What the boat file says, where that is not how the boat is; default: the boat. */
  described?: Boat;
  steps?: readonly WatchStep[];
  look?: (look: Look) => void;
  /** Hears everything that the watch hears. */
  hear?: (input: Reading | Silence) => void;
}

/** The boat with sensors that speak no oftener than this; for long runs. */
export function speakingEvery(boat: Boat, everyMs: number): Boat {
  const points = [...boat.points].map(
    ([id, point]) =>
      [id, { ...point, expectedEveryMs: Math.max(everyMs, point.expectedEveryMs) }] as const,
  );
  return { ...boat, points: new Map(points) };
}

/** Plays it to its end; every alert event in order. */
export function runFast(run: FastRun): Told[] {
  const simulation = createSimulation({ ...run, epochMs: START_MS });
  const clock = manualClock(START_MS);
  const described = run.described ?? run.boat;
  let watch = createWatch(described);
  const listen = listener(described, clock, simulation.marineSelf, (input) => {
    watch.take(input);
    run.hear?.(input);
  });
  const steps = [...(run.steps ?? [])];
  const told: Told[] = [];
  for (let atMs = 1000; atMs <= run.untilMs; atMs += 1000) {
    simulation.step(atMs);
    clock.advanceTo(START_MS + atMs);
    listen(simulation.messagesDue());
    while (steps[0] !== undefined && steps[0].atMs <= atMs) {
      watch = steps.shift()?.act(watch, clock.nowMs()) ?? watch;
    }
    if (atMs % run.evaluateEveryMs !== 0) continue;
    const evaluation = watch.evaluate(clock.nowMs());
    told.push(...evaluation.alertEvents.map(asTold));
    run.look?.({ ...evaluation, atMs, simulation, watch });
  }
  return told;
}

function asTold(event: AlertEvent): Told {
  return {
    atSeconds: (event.atMs - START_MS) / 1000,
    type: event.type,
    key: event.alertId.replace(/\.\d+$/, ''),
    event,
  };
}

/** The intake without its sockets: everything from the bytes on is the daemon's own. */
export function listener(
  boat: Boat,
  clock: Clock,
  marineSelf: string,
  onReading: (input: Reading | Silence) => void,
): (messages: Messages) => void {
  const { byTopic, byPath } = planPoints(boat);
  const log = { info: () => {}, warn: () => {} };
  const counters = createCounters(clock, log);
  const channel = { messages: 0, readings: 0, repeated: 0 };
  const messages = createMessageIntake({ byTopic, clock, counters, channel, onReading });
  const deltas = createDeltaIntake({ byPath, clock, counters, channel, log, onReading });
  deltas.subscribed(marineSelf, clock.nowMs());
  return ({ mqtt, deltas: texts }) => {
    for (const { topic, payload } of mqtt) {
      const bytes = Buffer.from(payload);
      messages.take({ topic, payload: bytes, mayBeRepeat: false, isRestored: false });
    }
    for (const text of texts) {
      const frame = readFrame(Buffer.from(text));
      if (frame.kind !== 'delta') throw new Error(`no delta: ${text}`);
      deltas.take(frame);
    }
  };
}
