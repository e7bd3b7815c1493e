/**
 * One boat in one scenario, moved by whoever holds it: no clock, no socket, no randomness but its
 * seed. The same seed gives the same messages, however the steps are cut.
 */
import type { Boat } from '../rules/index.ts';
import { Timetable } from './timetable.ts';
import { Vessel } from './physics/vessel.ts';
import { pathMetaOf } from './marine/path-meta.ts';
import type { PathMeta } from './marine/path-meta.ts';
import type { Scenario } from './scenarios/scenario.ts';
import type { MqttMessage } from './sensors/mqtt-topic.ts';
import { EVERYDAY_SENSORS } from './sensors/sensor-faults.ts';
import type { SensorFaults } from './sensors/sensor-faults.ts';
import { Sensors } from './sensors/sensors.ts';
import { clockMs } from './ships/day-plan.ts';
import type { Ship } from './ships/ship.ts';
import { truthOf } from './truth.ts';
import type { Truth } from './truth.ts';

export interface SimulationSetting {
  boat: Boat;
  ship: Ship;
  scenario: Scenario;
  seed: number;
  /** Default: `EVERYDAY_SENSORS`. */
  faults?: SensorFaults;
  /** Time of day `02:10` at the start; default: the scenario's. */
  startsAt?: string;
  /** Wall time of the start, for timestamps in open marine data; default 2026-06-01T00:00Z. */
  epochMs?: number;
}

export interface Messages {
  /** In the order in which they go out. */
  mqtt: MqttMessage[];
  /** Open marine data deltas as JSON text, in the order in which they go out. */
  deltas: string[];
}

export interface Simulation {
  /** Milliseconds of the scenario that have passed; never beyond what `step` was asked for. */
  readonly nowMs: number;
  /** The vessel's context in open marine data, `vessels.urn:...`. */
  readonly marineSelf: string;
  /** What is said of the paths of open marine data beside their values. */
  readonly marineMeta: readonly PathMeta[];
  /** MQTT topics with what the broker says for each when its publisher is cut off. */
  readonly wills: readonly { topic: string; payload: string }[];
  /**
   * Moves everything on, in steps of a second or a tenth, as far as whole steps fit. Messages that
   * are due before the time reached can then be taken.
   */
  step(toMs: number): void;
  /** What has become due since the last call. */
  messagesDue(): Messages;
  /** Wall time of the scenario's start, where it has to be set anew. */
  setEpoch(epochMs: number): void;
  truth(): Truth;
}

const STEP_MS = 1000;
const SHORT_STEP_MS = 100;
const DEFAULT_EPOCH_MS = Date.UTC(2026, 5, 1);
/** One vessel at a time sails under this name; it is nobody's. */
export const MARINE_SELF = 'vessels.urn:mrn:signalk:uuid:5f3f2a4e-6d1b-4c57-9a0e-2b7c8d9e0f11';

/** Throws where ship or scenario name parts that the boat does not have. */
export function createSimulation(setting: SimulationSetting): Simulation {
  return new RunningSimulation(setting);
}

class RunningSimulation implements Simulation {
  readonly marineSelf = MARINE_SELF;
  readonly #vessel: Vessel;
  readonly #sensors: Sensors;
  readonly #timetable: Timetable;
  #nowMs: number;

  constructor(setting: SimulationSetting) {
    const { boat, scenario, seed } = setting;
    const ship = scenario.setUp?.(setting.ship) ?? setting.ship;
    const startMs = clockMs(setting.startsAt ?? scenario.startsAt);
    this.#nowMs = -scenario.settleMinutes * 60_000;
    this.#vessel = new Vessel(boat, ship, { hour: (startMs + this.#nowMs) / 3_600_000, seed });
    this.#timetable = new Timetable(ship, scenario, { startMs, nowMs: this.#nowMs, seed });
    for (const action of this.#timetable.standing) this.#vessel.place(action);
    this.#sensors = new Sensors(this.#vessel, {
      faults: setting.faults ?? EVERYDAY_SENSORS,
      seed,
      context: MARINE_SELF,
      epochMs: setting.epochMs ?? DEFAULT_EPOCH_MS,
    });
    this.#advanceTo(0);
  }

  get nowMs(): number {
    return this.#nowMs;
  }

  get marineMeta(): readonly PathMeta[] {
    return pathMetaOf(this.#vessel.boat);
  }

  get wills(): readonly { topic: string; payload: string }[] {
    return this.#sensors.topics.map(({ topic, will }) => ({ topic, payload: will }));
  }

  step(toMs: number): void {
    this.#advanceTo(toMs);
  }

  messagesDue(): Messages {
    const { mqtt, deltas } = this.#sensors.takeMessages();
    return { mqtt, deltas: deltas.map(({ text }) => text) };
  }

  setEpoch(epochMs: number): void {
    this.#sensors.setEpoch(epochMs);
  }

  truth(): Truth {
    return truthOf(this.#vessel, this.#nowMs);
  }

  #advanceTo(toMs: number): void {
    for (;;) {
      const stepMs = this.#stepMs();
      const nextMs = this.#nowMs + stepMs;
      if (nextMs > toMs) return;
      if (this.#nowMs >= 0) this.#sensors.speakUntil(nextMs);
      this.#nowMs = nextMs;
      this.#act();
      this.#vessel.advance(stepMs / 1000);
    }
  }

  /** To the next whole second, or a tenth while something is over within a second. */
  #stepMs(): number {
    if (this.#vessel.isHasty) return SHORT_STEP_MS;
    const into = ((this.#nowMs % STEP_MS) + STEP_MS) % STEP_MS;
    return STEP_MS - into;
  }

  #act(): void {
    for (const action of this.#timetable.takeDue(this.#nowMs)) {
      if (action.do === 'sensor') this.#sensors.suffer(action, this.#nowMs);
      else this.#vessel.apply(action);
    }
  }
}
