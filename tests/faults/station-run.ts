/**
 * The daemon's watch over a real store in one process: the simulator's messages through the daemon's
 * own decoding into a station, on a clock that is told the time, under a wall clock that may be wrong.
 */
import { setImmediate as turn } from 'node:timers/promises';
import { manualClock } from '../../daemon/clock.ts';
import { Station } from '../../daemon/station.ts';
import { openStore } from '../../daemon/store/store.ts';
import type { Store } from '../../daemon/store/store.ts';
import { startingMs, watchWallClock } from '../../daemon/wall-clock.ts';
import type { AlertEvent, Boat } from '../../rules/index.ts';
import { createSimulation } from '../../simulator/simulation.ts';
import type { Messages, SimulationSetting } from '../../simulator/simulation.ts';
import { listener } from '../truth/run-fast.ts';

/** What the sensors' own stamps begin with; a run puts its wall clock's in their place. */
const STAMPS_FROM_MS = Date.UTC(2026, 5, 1);
/** Time that a restart takes. */
const DOWN_MS = 5000;
/** So often the daemon's own work has its turn: questions are answered, hours become chunks. */
const TURN_EVERY_MS = 10_000;

/** What the boat's computer believes, by the milliseconds that have truly passed. */
export interface Wall {
  nowMs(passedMs: number): number;
  /** When a time server set it last, in its own milliseconds; null: none ever did. */
  synchronisedAtMs(passedMs: number): number | null;
}

/** What sensors say, second by second. */
export interface Sensors {
  marineSelf: string;
  /** To be asked for each second once, in order. */
  said(passedMs: number): Messages;
}

/** A simulated boat's sensors as they go along. */
export function simulated(setting: SimulationSetting): Sensors {
  const simulation = createSimulation({ ...setting, epochMs: STAMPS_FROM_MS });
  return {
    marineSelf: simulation.marineSelf,
    said(passedMs) {
      simulation.step(passedMs);
      return simulation.messagesDue();
    },
  };
}

/** The same, played once and kept, to be heard again and again. */
export function recorded(setting: SimulationSetting, untilMs: number): Sensors {
  const { marineSelf, said } = simulated(setting);
  const seconds = Array.from({ length: untilMs / 1000 }, (_, at) => said((at + 1) * 1000));
  return {
    marineSelf,
    said: (passedMs) => seconds[passedMs / 1000 - 1] ?? { mqtt: [], deltas: [] },
  };
}

export interface StationRun {
  boat: Boat;
  sensors: Sensors;
  folder: string;
  wall: Wall;
  untilMs: number;
  /** Between two evaluations; the daemon's own is 1000. */
  evaluateEveryMs: number;
  /** panelward ends here and is started again a moment later, with all it keeps. */
  restartAtMs?: number;
  look?: (passedMs: number, store: Store) => Promise<void> | void;
}

export interface Happened {
  /** Seconds of the run, by the daemon's own clock. */
  atSeconds: number;
  type: AlertEvent['type'];
  /** Rule and subject: the alert's id without its number. */
  key: string;
  priority: string;
}

interface Aboard {
  store: Store;
  /** Goes on to this moment and hears these messages. */
  hear(passedMs: number, messages: Messages): void;
  evaluate(): void;
  stop(): number;
}

/** Plays it to its end; every alert event in order, and what the log said. */
export async function runStation(run: StationRun): Promise<{ told: Happened[]; lines: string[] }> {
  const told: Happened[] = [];
  const lines: string[] = [];
  let aboard: Aboard | null = start(run, told, lines, 0, null);
  let lastMs = 0;
  for (let passedMs = 1000; passedMs <= run.untilMs; passedMs += 1000) {
    const messages = stamped(run.sensors.said(passedMs), run.wall);
    if (passedMs === run.restartAtMs) {
      lastMs = aboard?.stop() ?? 0;
      aboard = null;
    }
    if (aboard === null) {
      if (passedMs < (run.restartAtMs ?? 0) + DOWN_MS) continue;
      aboard = start(run, told, lines, passedMs, lastMs);
    }
    aboard.hear(passedMs, messages);
    if (passedMs % run.evaluateEveryMs === 0) aboard.evaluate();
    if (passedMs % TURN_EVERY_MS === 0) await turn();
    await run.look?.(passedMs, aboard.store);
  }
  aboard?.stop();
  return { told, lines };
}

/** Starts the daemon's parts when so much has passed; `lastMs`: the last instant on the disk. */
function start(
  { boat, folder, wall, sensors }: StationRun,
  told: Happened[],
  lines: string[],
  passedMs: number,
  lastMs: number | null,
): Aboard {
  const clock = manualClock(startingMs(wall.nowMs(passedMs), lastMs));
  const startMs = clock.nowMs() - passedMs;
  const log = (line: string): void => void lines.push(line);
  const store = openStore({ folder, clock, log, ballastBytes: 0 });
  const stopWall = watchWallClock({
    clock,
    wall: {
      nowMs: () => wall.nowMs(clock.nowMs() - startMs),
      synchronisedAtMs: async () => wall.synchronisedAtMs(clock.nowMs() - startMs),
      machineRun: 'one run',
    },
    record: store,
    log,
  });
  const station = new Station(boat, store, clock);
  station.onUpdate(({ alertEvents }) => {
    for (const { atMs, type, alertId, alert } of alertEvents) {
      const key = alertId.replace(/\.\d+$/, '');
      told.push({ atSeconds: (atMs - startMs) / 1000, type, key, priority: alert.priority });
    }
  });
  const listen = listener(boat, clock, sensors.marineSelf, (input) => station.take(input));
  return {
    store,
    hear(nowPassedMs, messages) {
      clock.advanceTo(startMs + nowPassedMs);
      listen(messages);
    },
    evaluate: () => station.evaluate(),
    stop() {
      stopWall();
      station.stop();
      store.close();
      return clock.nowMs();
    },
  };
}

/** The server of open marine data runs on the same computer, and stamps by its wall clock. */
function stamped({ mqtt, deltas }: Messages, wall: Wall): Messages {
  const stamp = (_all: string, at: string): string => {
    const passedMs = Date.parse(at) - STAMPS_FROM_MS;
    return `"timestamp":"${new Date(wall.nowMs(passedMs)).toISOString()}"`;
  };
  return { mqtt, deltas: deltas.map((text) => text.replaceAll(/"timestamp":"([^"]+)"/g, stamp)) };
}
