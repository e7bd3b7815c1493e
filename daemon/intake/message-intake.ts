/**
 * What happens to every MQTT message, whichever broker it came through: refuse redeliveries,
 * decode, count, and hand readings on in the order of the boat file.
 */
import type { Reading, Silence } from '../../rules/index.ts';
import type { Clock } from '../clock.ts';
import { decodePayload } from './decode-payload.ts';
import type { ChannelCount, IntakeCounters } from './intake-counters.ts';
import { MOST_PAYLOAD_BYTES } from './payload-text.ts';
import type { PlannedPoint } from './point-plan.ts';

export interface SensorMessage {
  topic: string;
  payload: Uint8Array;
  /** MQTT's DUP flag: the sender may have sent this message before. */
  mayBeRepeat: boolean;
  /** The broker kept it from before we subscribed (RETAIN on delivery): old, never evidence. */
  isRestored: boolean;
}

export interface MessageIntake {
  take: (message: SensorMessage) => void;
}

/**
 * A message flagged DUP whose bytes equal the last ones on its topic, this recently, is the same
 * message again. Without the flag equal bytes are a steady sensor, and count as a fresh reading.
 */
const REPEAT_WITHIN_MS = 30_000;

export function createMessageIntake(options: {
  byTopic: ReadonlyMap<string, readonly PlannedPoint[]>;
  clock: Clock;
  counters: IntakeCounters;
  channel: ChannelCount;
  onReading: (input: Reading | Silence) => void;
}): MessageIntake {
  const { byTopic, clock, counters, channel, onReading } = options;
  /** Bounded: only topics of the boat file, and no payload that is refused for its size. */
  const last = new Map<string, { bytes: Buffer; atMs: number }>();

  const isRepeat = ({ topic, payload, mayBeRepeat }: SensorMessage, atMs: number): boolean => {
    const before = last.get(topic);
    if (payload.byteLength <= MOST_PAYLOAD_BYTES) {
      last.set(topic, { bytes: Buffer.from(payload), atMs });
    }
    if (!mayBeRepeat || !before) return false;
    return atMs - before.atMs <= REPEAT_WITHIN_MS && before.bytes.equals(payload);
  };

  return {
    take(message) {
      channel.messages += 1;
      const { topic, payload, isRestored } = message;
      if (!byTopic.has(topic)) {
        counters.unmapped(topic);
        return;
      }
      const atMs = clock.nowMs();
      if (isRepeat(message, atMs)) {
        counters.refuse({ reason: 'duplicate' }, topic);
        return;
      }
      const decoded = decodePayload(byTopic, topic, payload);
      for (const refusal of decoded.refusals) counters.refuse(refusal, topic);
      for (const { pointId, value } of decoded.readings) {
        channel.readings += 1;
        onReading(isRestored ? { pointId, value, atMs, isRestored } : { pointId, value, atMs });
      }
      for (const pointId of decoded.silences) onReading({ pointId, atMs, isSilent: true });
    },
  };
}
