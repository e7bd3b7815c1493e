/**
 * What happens to every MQTT message, whichever broker it came through: refuse redeliveries,
 * decode, count, and hand readings on in the order of the boat file.
 */
import type { Reading, Silence } from '../../rules/index.ts';
import type { Clock } from '../clock.ts';
import { decodePlanned } from './decode-payload.ts';
import type { ChannelCount, IntakeCounters } from './intake-counters.ts';
import { fromNumber } from './measured-value.ts';
import { plainDecimal } from './plain-decimal.ts';
import type { PlannedPoint } from './point-plan.ts';
import { Repeats } from './repeats.ts';

export interface SensorMessage {
  topic: string;
  /** Belongs to the caller: whoever keeps it keeps a copy. */
  payload: Uint8Array;
  /** MQTT's DUP flag: the sender may have sent this message before. */
  mayBeRepeat: boolean;
  /** The broker kept it from before we subscribed (RETAIN on delivery): old, never evidence. */
  isRestored: boolean;
}

export interface MessageIntake {
  take: (message: SensorMessage) => void;
}

/** All that is asked of a topic, looked up once a message. */
interface Topic {
  planned: readonly PlannedPoint[];
  /** The only point that reads it, if its payloads are plain numbers. */
  plain: PlannedPoint | null;
  repeats: Repeats;
}

export function createMessageIntake(options: {
  byTopic: ReadonlyMap<string, readonly PlannedPoint[]>;
  clock: Clock;
  counters: IntakeCounters;
  channel: ChannelCount;
  onReading: (input: Reading | Silence) => void;
}): MessageIntake {
  const { byTopic, clock, counters, channel, onReading } = options;
  const topics = new Map([...byTopic].map(([name, planned]) => [name, topicOf(planned)]));

  const hear = (pointId: string, value: number | string, atMs: number, isRestored: boolean) => {
    channel.readings += 1;
    onReading(isRestored ? { pointId, value, atMs, isRestored } : { pointId, value, atMs });
  };

  return {
    take({ topic: name, payload, mayBeRepeat, isRestored }) {
      channel.messages += 1;
      const topic = topics.get(name);
      if (topic === undefined) {
        counters.unmapped(name);
        return;
      }
      const atMs = clock.nowMs();
      if (topic.repeats.take(payload, mayBeRepeat, atMs)) {
        counters.refuse({ reason: 'duplicate' }, name);
        return;
      }
      const { plain } = topic;
      const value = plain === null ? null : plainValue(plain, payload);
      if (plain !== null && value !== null) {
        hear(plain.point.id, value, atMs, isRestored);
        return;
      }
      const decoded = decodePlanned(topic.planned, payload);
      for (const refusal of decoded.refusals) counters.refuse(refusal, name);
      for (const reading of decoded.readings) {
        hear(reading.pointId, reading.value, atMs, isRestored);
      }
      for (const pointId of decoded.silences) onReading({ pointId, atMs, isSilent: true });
    },
  };
}

function topicOf(planned: readonly PlannedPoint[]): Topic {
  const [first, ...others] = planned;
  const isPlain = first?.tokens === null && first.words === null && others.length === 0;
  return { planned, plain: isPlain ? first : null, repeats: new Repeats() };
}

/** Null: whether it is anything and what, decoding must say. */
function plainValue(plain: PlannedPoint, payload: Uint8Array): number | null {
  const number = plainDecimal(payload);
  if (number === null) return null;
  const value = fromNumber(plain, number);
  return typeof value === 'number' ? value : null;
}
