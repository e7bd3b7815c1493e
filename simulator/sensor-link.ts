/**
 * One sensor's own connection to the broker. What it has to say while the connection is down is
 * lost, as with real sensors; it never piles up.
 */
import { connect } from 'mqtt';
import type { MqttClient } from 'mqtt';

export interface SensorLinkSetting {
  broker: string;
  topic: string;
  /** Spoken by the broker when the connection breaks without goodbye. */
  will: string;
  onProblem: (problem: string) => void;
  onTaken: () => void;
}

const RECONNECT_MS = 1000;
const KEEPALIVE_SECONDS = 20;

export class SensorLink {
  unacknowledged = 0;
  readonly #setting: SensorLinkSetting;
  readonly #client: MqttClient;
  #lastProblem = '';

  constructor(setting: SensorLinkSetting) {
    const { broker, topic, will } = setting;
    this.#setting = setting;
    this.#client = connect(broker, {
      clientId: `clamp-${topic.replaceAll(/[^A-Za-z0-9]+/g, '-')}`,
      clean: true,
      keepalive: KEEPALIVE_SECONDS,
      reconnectPeriod: RECONNECT_MS,
      queueQoSZero: false,
      will: { topic, payload: Buffer.from(will), qos: 1, retain: false },
    });
    this.#client.on('error', (error) => this.#complain(error));
    this.#client.on('connect', () => {
      this.#lastProblem = '';
    });
  }

  publish(payload: string, retain: boolean): void {
    if (!this.#client.connected) return;
    this.unacknowledged += 1;
    this.#client.publish(this.#setting.topic, payload, { qos: 1, retain }, (error) => {
      this.unacknowledged -= 1;
      if (error === undefined || error === null) this.#setting.onTaken();
      else this.#complain(error);
    });
  }

  async end(): Promise<void> {
    await this.#client.endAsync(!this.#client.connected);
  }

  /** Tells of a problem once, not at every attempt. */
  #complain(error: Error): void {
    const said = 'code' in error ? `${String(error.code)} ${error.message}` : error.message;
    if (said === this.#lastProblem) return;
    this.#lastProblem = said;
    this.#setting.onProblem(said);
  }
}
