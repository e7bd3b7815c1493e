/**
 * One MQTT publisher: all the points of one topic, as one JSON object, or as one plain number or
 * word where the boat file gives no pointer.
 */
import jsonpointer from 'jsonpointer';
import type { SensorAction } from '../action.ts';
import type { Channel } from './channel.ts';
import type { Probe } from './probe.ts';
import type { PublisherLife } from './publisher-life.ts';
import { Delivery } from './publisher-life.ts';

export interface MqttMessage {
  /** When it is due, in milliseconds of the scenario. */
  atMs: number;
  topic: string;
  payload: string;
  retain: boolean;
}

/** One value of the topic: what is true, how it is read, and where in the payload it stands. */
export interface TopicChannel {
  channel: Channel;
  probe: Probe;
  /** JSON Pointer (RFC 6901); absent: the payload is this value alone. */
  pointer?: string;
}

type Values = readonly (number | string | null)[];

export class MqttTopic {
  readonly topic: string;
  /** What the broker says for it when its connection breaks: that it has no values. */
  readonly will: string;
  readonly #life: PublisherLife;
  readonly #channels: readonly TopicChannel[];
  /** Where each value stands in the payload; empty where the payload is one plain value. */
  readonly #pointers: readonly { set: (payload: object, value: unknown) => void }[];
  readonly #retain: boolean;
  readonly #delivery = new Delivery<MqttMessage>();
  #values: Values = [];

  constructor(topic: string, channels: readonly TopicChannel[], life: PublisherLife) {
    this.topic = topic;
    this.#channels = channels;
    this.#life = life;
    this.#pointers = channels.flatMap(({ pointer }) =>
      pointer === undefined ? [] : [jsonpointer.compile(pointer)],
    );
    if (this.#pointers.length > 0 && this.#pointers.length < channels.length) {
      throw new Error(`${topic}: some of its points have a pointer and some have none`);
    }
    // Words change seldom, so that whoever comes later wants the last one.
    this.#retain = channels.every(({ channel }) => isWord(channel));
    this.will = this.#payload(
      channels.map(() => null),
      null,
    );
  }

  get dueMs(): number {
    return this.#life.dueMs;
  }

  /** The message that is due, with what its fate makes of it and of one held back before. */
  speak(): MqttMessage[] {
    const atMs = this.#life.dueMs;
    const fate = this.#life.next();
    if (fate === 'lost') return [];
    const message = this.#message(atMs);
    return message === null ? [] : this.#delivery.deliver(fate, message);
  }

  /** A scripted fault; gives back the last will where the broker speaks it. */
  suffer(fault: SensorAction['fault'], atMs: number): MqttMessage[] {
    this.#life.suffer(fault, atMs);
    if (fault !== 'dies') return [];
    return [{ atMs, topic: this.topic, payload: this.will, retain: false }];
  }

  #message(atMs: number): MqttMessage | null {
    if (!this.#life.isFrozen(atMs) || this.#values.length === 0) {
      this.#values = this.#channels.map(({ channel, probe }) => channel.sends(probe()));
    }
    if (this.#values.every((value) => value === null)) return null;
    const payload = this.#payload(this.#values, this.#life.uptimeSeconds(atMs));
    return { atMs, topic: this.topic, payload, retain: this.#retain };
  }

  #payload(values: Values, uptimeSeconds: number | null): string {
    if (this.#pointers.length === 0) return String(values[0] ?? null);
    const payload = {};
    this.#pointers.forEach((pointer, at) => pointer.set(payload, values[at] ?? null));
    return JSON.stringify(uptimeSeconds === null ? payload : { ...payload, uptime: uptimeSeconds });
  }
}

function isWord({ point }: Channel): boolean {
  return point.quantity === 'position' || point.quantity === 'switch';
}
