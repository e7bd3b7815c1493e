/** A client of the embedded broker that subscribes and then does not read what it gets. */
import mqtt, { type MqttClient } from 'mqtt';
import { describe, expect, test } from 'vitest';
import { startClock } from '../../../daemon/clock.ts';
import { startEmbeddedBroker } from '../../../daemon/intake/embedded-broker.ts';
import { createCounters } from '../../../daemon/intake/intake-counters.ts';
import { gather, started, stopAfterwards, until } from './gathering.ts';
import { connectPacket, openTcp, subscribePacket } from './mqtt-bytes.ts';

describe('a subscriber that stops reading', () => {
  /** The bare broker, with a frozen subscriber of everything under `panel`. */
  async function withFrozen(drainTimeoutMs: number) {
    const topics: string[] = [];
    const clock = startClock();
    const counters = createCounters(clock, gather().log);
    const broker = started(
      await startEmbeddedBroker({
        host: '127.0.0.1',
        port: 0,
        clock,
        counters,
        messagesPerSecond: 10_000,
        log: gather().log,
        drainTimeoutMs,
        onMessage: ({ topic }) => topics.push(topic),
      }),
    );
    stopAfterwards(() => broker.stop());
    const frozen = await openTcp(broker.address);
    frozen.write(Buffer.concat([connectPacket('frozen'), subscribePacket('panel/#')]));
    await until('the frozen client', () => broker.clients() === 1);
    frozen.pause();
    stopAfterwards(() => void frozen.destroy());
    const publisher = async (): Promise<MqttClient> => {
      const client = await mqtt.connectAsync(`mqtt://${broker.address}`, { reconnectPeriod: 0 });
      stopAfterwards(() => client.endAsync(true));
      return client;
    };
    return { broker, counters, topics, publisher, frozen };
  }
  // Far more in all than the sockets' buffers hold, so that writing to the frozen client blocks.
  const bulk = Buffer.alloc(60_000, 'x');

  test('does not hold the watch back, even while it stays connected', async () => {
    // With so long a timeout a watch that waited for the frozen client would fail by the clock.
    const { broker, counters, topics, publisher, frozen } = await withFrozen(600_000);
    const [loud, other] = [await publisher(), await publisher()];
    for (let n = 0; n < 400; n += 1) {
      loud.publish('panel/loud', bulk);
      await other.publishAsync('panel/other', String(n), { qos: 1 });
    }
    await until('every message', () => topics.length === 800);
    expect(topics.filter((topic) => topic === 'panel/other')).toHaveLength(400);
    expect(broker.clients()).toBe(3);
    expect(counters.refused()).toContainEqual(
      expect.objectContaining({ reason: 'slow subscriber' }),
    );

    // When it reads again it gets what is new; what it was too slow for has not piled up.
    let thawed = Buffer.alloc(0);
    let bytes = 0;
    frozen.on('data', (chunk) => {
      bytes += chunk.length;
      thawed = Buffer.concat([thawed, chunk]).subarray(-100_000);
    });
    frozen.resume();
    while (!thawed.includes('the newest')) {
      await other.publishAsync('panel/other', 'the newest', { qos: 1 });
    }
    expect(bytes).toBeLessThan(200 * bulk.length);
  });

  test('is cut off after the drain timeout', async () => {
    const { broker, publisher } = await withFrozen(100);
    const loud = await publisher();
    for (let n = 0; n < 400; n += 1) loud.publish('panel/loud', bulk);
    await until('the cut', () => broker.clients() === 1);
    await loud.publishAsync('panel/loud', bulk, { qos: 1 });
    expect(loud.connected).toBe(true);
  });
});
