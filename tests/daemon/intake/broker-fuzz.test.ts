/** The embedded broker against clients that send anything at all. The seed is fixed and printed. */
import { once } from 'node:events';
import * as fc from 'fast-check';
import mqtt from 'mqtt';
import { expect, test } from 'vitest';
import { startClock } from '../../../daemon/clock.ts';
import { startIntake } from '../../../daemon/intake/intake.ts';
import { boatWith, point } from './boat-with-points.ts';
import { gather, started, stopAfterwards, until } from './gathering.ts';
import { connectPacket, openTcp, publishPacket, subscribePacket } from './mqtt-bytes.ts';

const SEED = 19_960_229;
/** `STREAMS=100000 npm run soak:fuzz` for more. */
const STREAMS = Number(process.env['STREAMS'] ?? '2000');
const AT_ONCE = 20;

const topic = fc.oneof(
  fc.constantFrom('panel/bow', 'panel/#', '+', '#', '$SYS/x', '', '../..', 'a\u0000b', '__proto__'),
  fc.string({ unit: 'binary', maxLength: 30 }),
);
const payload = fc.uint8Array({ maxLength: 60 }).map((bytes) => Buffer.from(bytes));
const packet = fc.oneof(
  fc.constant(connectPacket('fuzz')),
  fc
    .tuple(topic, payload, fc.boolean())
    .map(([to, bytes, isDup]) => publishPacket(to, bytes, isDup ? { packetId: 1, isDup } : {})),
  topic.map(subscribePacket),
  fc.uint8Array({ minLength: 1, maxLength: 80 }).map((bytes) => Buffer.from(bytes)),
  // Any packet type with any flags, and a length that fits.
  fc
    .tuple(fc.nat(255), payload)
    .map(([first, body]) => Buffer.concat([Buffer.from([first, body.length]), body])),
);
/** Half of the streams begin with a good CONNECT, so that the rest gets past the first packet. */
const stream = fc
  .record({
    isConnected: fc.boolean(),
    packets: fc.array(packet, { minLength: 1, maxLength: 8 }),
    cutOff: fc.nat(3),
  })
  .map(({ isConnected, packets, cutOff }) => {
    const all = Buffer.concat(packets);
    return { isConnected, bytes: all.subarray(0, Math.max(1, all.length - cutOff)) };
  });

test(`${STREAMS} byte streams of seed ${SEED} leave the broker serving`, async () => {
  const gathered = gather();
  const boat = boatWith([point('bow', { address: { via: 'mqtt', topic: 'panel/bow' } })]);
  const clock = startClock();
  const intake = started(await startIntake({ boat, clock, random: Math.random, ...gathered }));
  stopAfterwards(() => intake.stop());
  const errors: unknown[] = [];
  const onError = (error: unknown): void => void errors.push(error);
  process.on('uncaughtException', onError);
  process.on('unhandledRejection', onError);
  stopAfterwards(() => {
    process.off('uncaughtException', onError);
    process.off('unhandledRejection', onError);
  });

  const streams = fc.sample(stream, { numRuns: STREAMS, seed: SEED });
  const send = async ({ isConnected, bytes }: (typeof streams)[number], n: number) => {
    const socket = await openTcp(intake.mqttAddress);
    if (isConnected) {
      socket.write(connectPacket(`fuzz-${n % 200}`));
      await Promise.race([once(socket, 'data'), once(socket, 'close')]);
    }
    socket.end(bytes);
    await until('the end of a stream', () => socket.destroyed);
  };
  for (let at = 0; at < streams.length; at += AT_ONCE) {
    await Promise.all(streams.slice(at, at + AT_ONCE).map(send));
  }

  const client = await mqtt.connectAsync(`mqtt://${intake.mqttAddress}`);
  stopAfterwards(() => client.endAsync(true));
  await client.publishAsync('panel/bow', '987', { qos: 1 });
  expect(gathered.of('bow').at(-1)).toBe(987);
  await until('nobody else', () => intake.health().mqtt.clients === 1);
  expect(intake.health().mqtt.messages).toBeGreaterThan(100);
  const reasons = intake.health().refused.map(({ reason }) => reason);
  expect(reasons).toEqual(expect.arrayContaining(['not MQTT', 'topic not allowed']));
  expect(errors).toEqual([]);
});
