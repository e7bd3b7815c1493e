/**
 * A scenario in lockstep: the simulation moves on a step, its messages go through the real broker
 * and a real WebSocket into the real daemon, and only when the daemon has them does the clock move
 * on. So a day takes a minute, and nothing depends on how busy the machine is.
 */
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import mqtt from 'mqtt';
import type { MqttClient } from 'mqtt';
import { manualClock } from '../../daemon/clock.ts';
import type { ManualClock } from '../../daemon/clock.ts';
import { startDaemon } from '../../daemon/daemon.ts';
import type { Daemon, DaemonOptions } from '../../daemon/daemon.ts';
import { readBoat } from '../../rules/index.ts';
import type { AlertEvent, Boat } from '../../rules/index.ts';
import { scenarioNamed } from '../../simulator/scenarios/index.ts';
import type { SensorFaults } from '../../simulator/sensors/sensor-faults.ts';
import { shipOf } from '../../simulator/ships/index.ts';
import { createSimulation } from '../../simulator/simulation.ts';
import type { Simulation } from '../../simulator/simulation.ts';
import { startMarinePeer } from './marine-peer.ts';
import type { MarinePeer } from './marine-peer.ts';

/** In memory where there is such a place: here the disk itself is not under test. */
const SCRATCH = existsSync('/dev/shm') ? '/dev/shm' : tmpdir();

export const START_MS = Date.UTC(2026, 5, 1);

export interface Told {
  /** Seconds after the start of the scenario. */
  atSeconds: number;
  type: AlertEvent['type'];
  /** Key of the alert without its number. */
  key: string;
  title: string;
  event: AlertEvent;
}

export function loadDemoBoat(name: string): Boat {
  const slug = name.toLowerCase().replaceAll(' ', '-');
  const url = new URL(`../../simulator/boats/${slug}.yaml`, import.meta.url);
  const { boat } = readBoat(readFileSync(url, 'utf8'), slug);
  if (!boat) throw new Error(`${name} is not usable`);
  return boat;
}

export interface PlayOptions {
  faults?: SensorFaults;
  /** How far boat and daemon move between two exchanges of messages. */
  stepMs?: number;
  /** Makes every sensor speak so often instead. */
  everyMs?: number;
  /** What the people of the boat have decided about panelward. */
  decided?: Pick<DaemonOptions, 'settings' | 'secrets'>;
  /** Called after every step. */
  watch?: (stage: Stage) => void;
}

/** Plays a named scenario to its end and returns every alert event with its time. */
export async function play(
  scenarioName: string,
  seed: number,
  options: PlayOptions = {},
): Promise<Told[]> {
  const { stepMs = 1000, watch } = options;
  const stage = await Stage.open(scenarioName, seed, options);
  try {
    for (let atMs = stepMs; atMs <= stage.minutes * 60_000; atMs += stepMs) {
      await stage.moveTo(atMs);
      watch?.(stage);
    }
    return stage.told;
  } finally {
    await stage.close();
  }
}

function speakingEvery(boat: Boat, everyMs: number | undefined): Boat {
  if (everyMs === undefined) return boat;
  const points = [...boat.points].map(
    ([id, point]) =>
      [id, { ...point, expectedEveryMs: Math.max(everyMs, point.expectedEveryMs) }] as const,
  );
  return { ...boat, points: new Map(points) };
}

export class Stage {
  readonly told: Told[] = [];
  readonly boat: Boat;
  readonly daemon: Daemon;
  readonly simulation: Simulation;
  readonly minutes: number;
  readonly #clock: ManualClock;
  readonly #client: MqttClient;
  readonly #peer: MarinePeer;
  readonly #folder: string;
  #framesSent: number;

  private constructor(parts: {
    boat: Boat;
    daemon: Daemon;
    simulation: Simulation;
    minutes: number;
    clock: ManualClock;
    client: MqttClient;
    peer: MarinePeer;
    folder: string;
  }) {
    this.boat = parts.boat;
    this.daemon = parts.daemon;
    this.simulation = parts.simulation;
    this.minutes = parts.minutes;
    this.#clock = parts.clock;
    this.#client = parts.client;
    this.#peer = parts.peer;
    this.#folder = parts.folder;
    this.#framesSent = this.#framesTaken();
    this.daemon.station.onUpdate(({ alertEvents }) => {
      for (const event of alertEvents) {
        this.told.push({
          atSeconds: (event.atMs - START_MS) / 1000,
          type: event.type,
          key: event.alertId.replace(/\.\d+$/, ''),
          title: event.alert.title,
          event,
        });
      }
    });
  }

  static async open(
    scenarioName: string,
    seed: number,
    { faults, everyMs, decided }: PlayOptions = {},
  ): Promise<Stage> {
    const scenario = scenarioNamed(scenarioName);
    if (!scenario) throw new Error(`no scenario ${scenarioName}`);
    const boat = speakingEvery(loadDemoBoat(scenario.boatName ?? 'Sable Plover'), everyMs);
    const ship = shipOf(boat.name);
    if (!ship) throw new Error(`no physics for ${boat.name}`);
    const simulation = createSimulation({
      boat,
      ship,
      scenario,
      seed,
      epochMs: START_MS,
      ...(faults ? { faults } : {}),
    });
    const clock = manualClock(START_MS);
    const folder = mkdtempSync(join(SCRATCH, 'panelward-stage-'));
    const peer = await startMarinePeer(simulation.marineSelf);
    const daemon = await startDaemon({
      boat,
      clock,
      dataFolder: folder,
      host: '127.0.0.1',
      port: 0,
      log: () => {},
      random: () => 0.5,
      ...decided,
      intake: {
        mqtt: { broker: 'embedded', port: 0 },
        marineDataUrl: peer.url,
        messagesPerSecond: 100_000,
      },
    });
    if ('problem' in daemon) throw new Error(daemon.problem);
    const client = await mqtt.connectAsync(`mqtt://${daemon.mqttAddress}`);
    while (!daemon.intakeHealth().marineData?.isConnected) await breathe();
    const minutes = scenario.minutes;
    return new Stage({ boat, daemon, simulation, minutes, clock, client, peer, folder });
  }

  /** Moves boat, messages and daemon on to `atMs` after the start. */
  async moveTo(atMs: number): Promise<void> {
    this.simulation.step(atMs);
    const { mqtt: messages, deltas } = this.simulation.messagesDue();
    for (const delta of deltas) this.#framesSent += this.#peer.send(delta);
    // One connection keeps the order, so the last acknowledgement stands for all.
    messages.slice(0, -1).forEach(({ topic, payload, retain }) => {
      this.#client.publish(topic, payload, { qos: 0, retain });
    });
    const last = messages.at(-1);
    if (last)
      await this.#client.publishAsync(last.topic, last.payload, { qos: 1, retain: last.retain });
    while (this.#framesTaken() < this.#framesSent) await breathe();
    this.#clock.advanceTo(START_MS + atMs);
  }

  async close(): Promise<void> {
    await this.#client.endAsync(true);
    await this.daemon.stop();
    await this.#peer.close();
    rmSync(this.#folder, { recursive: true, force: true });
  }

  #framesTaken(): number {
    return this.daemon.intakeHealth().marineData?.frames ?? 0;
  }
}

const breathe = (): Promise<void> =>
  new Promise((resolve) => {
    setImmediate(resolve);
  });
