/**
 * Plays a simulation in real time, or many times as fast, to a real MQTT broker and to the clients
 * of an open marine data server. Each topic has a connection of its own with its own last will, as
 * separate sensors have.
 */
import { SensorLink } from './sensor-link.ts';
import type { Simulation } from './simulation.ts';

export interface PublisherSetting {
  /** `mqtt://host:port` */
  broker: string;
  /** Boat seconds in one second. */
  speed: number;
  /** Makes the run to be played, its zero at this wall time; called again when it loops. */
  begin: (epochMs: number) => Simulation;
  /** Milliseconds after which it begins anew; null: never. */
  loopMs: number | null;
  /** Takes each open marine data delta. */
  publishDelta: (delta: string) => void;
  /** Told once for each different problem with the broker. */
  onProblem: (problem: string) => void;
}

export interface Publisher {
  /** Settles when the broker has taken a first message. */
  readonly isSpeaking: Promise<void>;
  /** The boat's wall time. */
  wallMs(): number;
  /** Says goodbye to the broker, so that no last will is spoken. */
  stop(): Promise<void>;
}

const TICK_MS = 100;
/** Beyond so many messages that the broker has not acknowledged, the boat waits. */
const MOST_UNACKNOWLEDGED = 2000;
/** When this process was held up for longer, the time in between is skipped. */
const LONGEST_CATCH_UP_MS = 2000;

/** Starts at once; the broker may come and go. */
export function startPublisher(setting: PublisherSetting): Publisher {
  return new RunningPublisher(setting);
}

class RunningPublisher implements Publisher {
  readonly isSpeaking: Promise<void>;
  readonly #setting: PublisherSetting;
  readonly #links = new Map<string, SensorLink>();
  readonly #startWallMs = Date.now();
  readonly #startMs = performance.now();
  readonly #tick: NodeJS.Timeout;
  #announce: () => void = () => {};
  #simulation: Simulation;
  /** Real time at which the run would have been at its zero, had nothing held it up. */
  #zeroMs: number;

  constructor(setting: PublisherSetting) {
    this.#setting = setting;
    this.isSpeaking = new Promise((resolve) => {
      this.#announce = resolve;
    });
    this.#zeroMs = performance.now();
    this.#simulation = setting.begin(this.wallMs());
    for (const { topic, payload } of this.#simulation.wills) {
      const onTaken = (): void => this.#announce();
      const { broker, onProblem } = setting;
      this.#links.set(topic, new SensorLink({ broker, topic, will: payload, onProblem, onTaken }));
    }
    this.#tick = setInterval(() => this.#goOn(), TICK_MS);
  }

  wallMs(): number {
    return this.#startWallMs + (performance.now() - this.#startMs) * this.#setting.speed;
  }

  async stop(): Promise<void> {
    clearInterval(this.#tick);
    await Promise.all([...this.#links.values()].map((link) => link.end()));
  }

  #goOn(): void {
    const { speed, loopMs } = this.#setting;
    const dueMs = (performance.now() - this.#zeroMs) * speed;
    const isHeldUp = dueMs - this.#simulation.nowMs > LONGEST_CATCH_UP_MS * speed + 1000;
    if (isHeldUp || this.#unacknowledged() > MOST_UNACKNOWLEDGED) this.#skipToNow();
    else this.#simulation.step(dueMs);
    this.#say();
    if (loopMs !== null && this.#simulation.nowMs >= loopMs) {
      this.#zeroMs = performance.now();
      this.#simulation = this.#setting.begin(this.wallMs());
    }
  }

  #say(): void {
    const { mqtt, deltas } = this.#simulation.messagesDue();
    for (const { topic, payload, retain } of mqtt) this.#links.get(topic)?.publish(payload, retain);
    for (const delta of deltas) this.#setting.publishDelta(delta);
  }

  /** The boat goes on from where she is; her timestamps follow the wall clock. */
  #skipToNow(): void {
    const { nowMs } = this.#simulation;
    this.#zeroMs = performance.now() - nowMs / this.#setting.speed;
    this.#simulation.setEpoch(this.wallMs() - nowMs);
  }

  #unacknowledged(): number {
    let sum = 0;
    for (const link of this.#links.values()) sum += link.unacknowledged;
    return sum;
  }
}
