/** All the publishers of a boat, made from the points of her boat file. */
import type { Boat, Point } from '../../rules/index.ts';
import type { SensorAction } from '../action.ts';
import type { Vessel } from '../physics/vessel.ts';
import { createRandom } from '../random.ts';
import { Channel } from './channel.ts';
import type { MarineDelta } from './marine-source.ts';
import { MarineSource } from './marine-source.ts';
import type { MqttMessage } from './mqtt-topic.ts';
import { MqttTopic } from './mqtt-topic.ts';
import { probeAt } from './probe.ts';
import { PublisherLife } from './publisher-life.ts';
import type { SensorFaults } from './sensor-faults.ts';

export interface SensorSetting {
  faults: SensorFaults;
  seed: number;
  /** The vessel's context in deltas. */
  context: string;
  /** Wall time of the scenario's start, for timestamps. */
  epochMs: number;
}

export class Sensors {
  readonly topics: readonly MqttTopic[];
  readonly marineSources: readonly MarineSource[];
  readonly #setting: SensorSetting;
  #mqtt: MqttMessage[] = [];
  #deltas: MarineDelta[] = [];

  constructor(vessel: Vessel, setting: SensorSetting) {
    const points = [...vessel.boat.points.values()];
    this.#setting = { ...setting };
    this.topics = makeTopics(vessel, points, this.#setting);
    this.marineSources = makeMarineSources(vessel, points, this.#setting);
  }

  /** Lets every publisher say what is due before `untilMs`, from the vessel's present state. */
  speakUntil(untilMs: number): void {
    for (const topic of this.topics) {
      while (topic.dueMs < untilMs) this.#mqtt.push(...topic.speak());
    }
    for (const source of this.marineSources) {
      while (source.dueMs < untilMs) this.#deltas.push(...source.speak());
    }
  }

  /** Timestamps follow another wall time from now on. */
  setEpoch(epochMs: number): void {
    this.#setting.epochMs = epochMs;
  }

  /** Throws where no publisher has that name. */
  suffer({ publisher, fault }: SensorAction, atMs: number): void {
    const topics = this.topics.filter(({ topic }) => topic === publisher);
    const sources = this.marineSources.filter(({ name }) => name === publisher);
    if (topics.length + sources.length === 0) throw new Error(`no such publisher: ${publisher}`);
    for (const topic of topics) this.#mqtt.push(...topic.suffer(fault, atMs));
    for (const source of sources) this.#deltas.push(...source.suffer(fault, atMs));
  }

  /** What has been said since the last time, in the order in which it goes out. */
  takeMessages(): { mqtt: MqttMessage[]; deltas: MarineDelta[] } {
    const taken = { mqtt: this.#mqtt, deltas: this.#deltas };
    this.#mqtt = [];
    this.#deltas = [];
    return taken;
  }
}

function makeTopics(vessel: Vessel, points: readonly Point[], setting: SensorSetting): MqttTopic[] {
  const byTopic = new Map<string, Point[]>();
  for (const point of points) {
    if (point.address.via === 'mqtt') group(byTopic, point.address.topic, point);
  }
  return [...byTopic].map(([topic, ofTopic]) => {
    const channels = ofTopic.map((point) => {
      const channel = channelOf(vessel.boat, point, setting);
      const probe = probeAt(vessel, point);
      const pointer = point.address.via === 'mqtt' ? point.address.pointer : undefined;
      return { channel, probe, ...(pointer === undefined ? {} : { pointer }) };
    });
    return new MqttTopic(topic, channels, lifeOf(topic, ofTopic, setting));
  });
}

function makeMarineSources(
  vessel: Vessel,
  points: readonly Point[],
  setting: SensorSetting,
): MarineSource[] {
  const bySource = new Map<string, Point[]>();
  for (const point of points) {
    if (point.address.via !== 'marine data') continue;
    group(bySource, `${marineSourceOf(vessel, point)} ${point.expectedEveryMs}`, point);
  }
  return [...bySource].flatMap(([key, ofSource]) => {
    const [name = ''] = key.split(' ');
    const channels = ofSource.flatMap((point) => {
      if (point.address.via !== 'marine data') return [];
      const channel = channelOf(vessel.boat, point, setting);
      return [{ channel, probe: probeAt(vessel, point), path: point.address.path }];
    });
    return [new MarineSource(name, setting, channels, lifeOf(key, ofSource, setting))];
  });
}

/** The `$source` of a point: the ship's, or else one that its pattern lets through. */
function marineSourceOf(vessel: Vessel, point: Point): string {
  const named = vessel.ship.marineSources[point.id];
  if (named !== undefined) return named;
  const pattern = point.address.via === 'marine data' ? point.address.sourcePattern : undefined;
  return pattern === undefined ? `${point.of}.sensor` : pattern.replaceAll('*', '1');
}

function channelOf(boat: Boat, point: Point, { faults, seed }: SensorSetting): Channel {
  return new Channel(boat, point, faults, createRandom(seed, 'channel', point.id));
}

function lifeOf(
  name: string,
  points: readonly Point[],
  { faults, seed }: SensorSetting,
): PublisherLife {
  const periodMs = Math.min(...points.map((point) => point.expectedEveryMs));
  return new PublisherLife(periodMs, faults, createRandom(seed, 'publisher', name));
}

function group(map: Map<string, Point[]>, key: string, point: Point): void {
  const list = map.get(key);
  if (list === undefined) map.set(key, [point]);
  else list.push(point);
}
