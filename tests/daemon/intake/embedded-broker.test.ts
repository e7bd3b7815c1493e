import { once } from 'node:events';
import mqtt, { type IClientOptions, type MqttClient } from 'mqtt';
import { describe, expect, test } from 'vitest';
import { startClock } from '../../../daemon/clock.ts';
import { startIntake, type Intake } from '../../../daemon/intake/intake.ts';
import { MOST_RETAINED_TOPICS } from '../../../daemon/intake/retained-budget.ts';
import { boatWith, point } from './boat-with-points.ts';
import { gather, started, stopAfterwards, until, type Gathered } from './gathering.ts';
import { connectPacket, openTcp, publishPacket, remainingLength } from './mqtt-bytes.ts';

const boat = boatWith([
  point('bow-volts', { address: { via: 'mqtt', topic: 'panel/bow', pointer: '/v' } }),
  point('bow-amps', { address: { via: 'mqtt', topic: 'panel/bow', pointer: '/a' } }),
  point('stern-volts', { address: { via: 'mqtt', topic: 'panel/stern' } }),
]);

interface Running extends Gathered {
  intake: Intake;
}

/** Intake with the embedded broker on a free port, stopped when the test ends. */
async function run(over: { messagesPerSecond?: number } = {}): Promise<Running> {
  const gathered = gather();
  const { onReading, log } = gathered;
  const clock = startClock();
  const intake = started(
    await startIntake({ boat, clock, random: Math.random, onReading, log, ...over }),
  );
  stopAfterwards(() => intake.stop());
  return { intake, ...gathered };
}

async function sensor({ intake }: Running, options: IClientOptions = {}): Promise<MqttClient> {
  const client = await mqtt.connectAsync(`mqtt://${intake.mqttAddress}`, {
    reconnectPeriod: 0,
    ...options,
  });
  stopAfterwards(() => client.endAsync(true));
  return client;
}

const refusedFor = ({ intake }: Running, reason: string): number =>
  intake.health().refused.find((line) => line.reason === reason)?.count ?? 0;

describe('messages', () => {
  test.each([0, 1, 2] as const)('at QoS %i become readings once', async (qos) => {
    const running = await run();
    const client = await sensor(running);
    await client.publishAsync('panel/bow', '{"v":120.5,"a":3}', { qos });
    await client.publishAsync('panel/stern', '118', { qos });
    await until('the last reading', () => running.of('stern-volts').length > 0);
    expect(running.of('bow-volts')).toEqual([120.5]);
    expect(running.of('bow-amps')).toEqual([3]);
    expect(running.of('stern-volts')).toEqual([118]);
    expect(running.intake.health().mqtt).toMatchObject({
      mode: 'embedded',
      isConnected: true,
      clients: 1,
      messages: 2,
      readings: 3,
    });
  });

  test('that a sensor wants retained are fresh when they arrive', async () => {
    const running = await run();
    const client = await sensor(running);
    await client.publishAsync('panel/stern', '118', { retain: true, qos: 1 });
    await until('the reading', () => running.inputs.length > 0);
    expect(running.inputs[0]).not.toHaveProperty('isRestored');
  });

  test('with null are a silence', async () => {
    const running = await run();
    const client = await sensor(running);
    await client.publishAsync('panel/bow', '{"v":null,"a":3}', { qos: 1 });
    await until('both', () => running.inputs.length === 2);
    expect(running.inputs).toContainEqual(
      expect.objectContaining({ pointId: 'bow-volts', isSilent: true }),
    );
  });

  test('on a topic of no point are counted as unmapped', async () => {
    const running = await run();
    const client = await sensor(running);
    await client.publishAsync('panel/elsewhere', '1', { qos: 1 });
    expect(running.intake.health().unmapped).toEqual([{ address: 'panel/elsewhere', count: 1 }]);
  });

  test('of a last will count like any other, when a sensor vanishes', async () => {
    const running = await run();
    const will = {
      topic: 'panel/bow',
      payload: Buffer.from('{"v":null,"a":null}'),
      qos: 1,
    } as const;
    const client = await sensor(running, { will: { ...will, retain: true } });
    await client.publishAsync('panel/bow', '{"v":120,"a":1}', { qos: 1 });
    client.stream.destroy();
    await until('the will', () => running.of('bow-volts').length === 2);
    expect(running.of('bow-volts')).toEqual([120, null]);
    expect(running.of('bow-amps')).toEqual([1, null]);
  });

  test('are all heard from a sensor that publishes and hangs up at once', async () => {
    const running = await run({ messagesPerSecond: 100_000 });
    const socket = await openTcp(running.intake.mqttAddress);
    socket.write(connectPacket('hasty'));
    await once(socket, 'data');
    const values = Array.from({ length: 1_000 }, (_, n) => n);
    const packets = values.map((n) =>
      publishPacket('panel/stern', Buffer.from(String(n).padEnd(200))),
    );
    socket.end(Buffer.concat([...packets, Buffer.from([0xe0, 0])]));
    await until('the last', () => running.of('stern-volts').includes(999));
    expect(running.of('stern-volts')).toEqual(values);
  });

  test('sent again with the DUP flag are taken once', async () => {
    const running = await run();
    const socket = await openTcp(running.intake.mqttAddress);
    const payload = Buffer.from('118');
    socket.write(connectPacket('again'));
    socket.write(publishPacket('panel/stern', payload, { packetId: 7 }));
    socket.write(publishPacket('panel/stern', payload, { packetId: 7, isDup: true }));
    socket.write(publishPacket('panel/stern', Buffer.from('119'), { packetId: 8, isDup: true }));
    await until('the last', () => running.of('stern-volts').includes(119));
    expect(running.of('stern-volts')).toEqual([118, 119]);
    expect(refusedFor(running, 'duplicate')).toBe(1);
    socket.destroy();
  });
});

describe('refusals', () => {
  test('64 KiB of payload arrive and one byte more is refused and counted', async () => {
    const running = await run();
    const client = await sensor(running);
    await client.publishAsync('panel/stern', '1'.padEnd(65_536), { qos: 1 });
    await client.publishAsync('panel/stern', '2'.padEnd(65_537), { qos: 1 });
    await client.publishAsync('panel/stern', '3', { qos: 1 });
    expect(running.of('stern-volts')).toEqual([1, 3]);
    expect(running.intake.health().refused).toEqual([
      {
        reason: 'payload too large',
        count: 1,
        lastTopic: 'panel/stern',
        lastAtMs: expect.any(Number),
      },
    ]);
  });

  test('a packet that announces 50 MB is cut off before it is gathered', async () => {
    const running = await run();
    const socket = await openTcp(running.intake.mqttAddress);
    const bytes = 50 * 1024 * 1024;
    socket.write(connectPacket('huge'));
    socket.write(Buffer.concat([Buffer.from([0x30]), remainingLength(bytes)]));
    socket.write(Buffer.alloc(1024));
    await until('the cut', () => socket.destroyed);
    expect(refusedFor(running, 'packet too large')).toBe(1);
    // The header alone was enough: the client was gone after 1 KiB of 50 MB.
    expect(socket.bytesWritten).toBeLessThan(2_000);
  });

  test.each([
    ['$SYS/x', 'topic not allowed'],
    [`a/${'b/'.repeat(12)}c`, 'topic too long'],
    ['x'.repeat(300), 'topic too long'],
  ])('a message to %s is dropped, and the sensor stays', async (topic, reason) => {
    const running = await run();
    const client = await sensor(running);
    await client.publishAsync(topic, '1', { qos: 1 });
    await client.publishAsync('panel/stern', '5', { qos: 1 });
    expect(running.of('stern-volts')).toEqual([5]);
    expect(refusedFor(running, reason)).toBe(1);
  });

  test('a client may not read everything, but may read a topic', async () => {
    const running = await run();
    const client = await sensor(running);
    const granted = async (filter: string): Promise<number | undefined> => {
      const subscriptions = await client
        .subscribeAsync(filter)
        .catch(({ packet }: { packet: { granted: number[] } }) => [{ qos: packet.granted[0] }]);
      return subscriptions[0]?.qos;
    };
    for (const filter of ['#', '+/#', '+/stern', '$SYS/#']) expect(await granted(filter)).toBe(128);
    expect(await granted('panel/+')).toBe(0);
    const heard: string[] = [];
    client.on('message', (topic) => heard.push(topic));
    await client.publishAsync('panel/stern', '5');
    await until('the message back', () => heard.length > 0);
    expect(refusedFor(running, 'subscription not allowed')).toBe(4);
  });

  test('a client that publishes too fast loses messages, and another loses none', async () => {
    const running = await run({ messagesPerSecond: 50 });
    const noisy = await sensor(running);
    const quiet = await sensor(running);
    const flood = Array.from({ length: 500 }, () => noisy.publishAsync('panel/bow', '{"v":1}'));
    await quiet.publishAsync('panel/stern', '5', { qos: 1 });
    await Promise.all(flood);
    await noisy.publishAsync('panel/bow', '{"v":1}', { qos: 1 });
    expect(running.of('stern-volts')).toEqual([5]);
    const { length } = running.of('bow-volts');
    expect(length + refusedFor(running, 'too many messages')).toBe(501);
    expect(refusedFor(running, 'too many messages')).toBeGreaterThan(300);
    expect(length).toBeGreaterThanOrEqual(100);
  });

  test('a client that floods is cut off, and another loses none', async () => {
    const running = await run({ messagesPerSecond: 50 });
    const flooding = await openTcp(running.intake.mqttAddress);
    flooding.write(connectPacket('flood'));
    const quiet = await sensor(running);
    const packet = publishPacket('panel/bow', Buffer.from('{"v":1}'));
    flooding.write(Buffer.concat(Array.from({ length: 5_000 }, () => packet)));
    await until('the end', () => flooding.destroyed);
    await quiet.publishAsync('panel/stern', '5', { qos: 1 });
    expect(running.of('stern-volts')).toEqual([5]);
    expect(refusedFor(running, 'cut off')).toBe(1);
    expect(refusedFor(running, 'too many messages')).toBeLessThan(2_000);
  });

  test('more retained messages than there is room for are passed on but not kept', async () => {
    const running = await run({ messagesPerSecond: 100_000 });
    const client = await sensor(running);
    for (let n = 0; n <= MOST_RETAINED_TOPICS; n += 1) {
      await client.publishAsync(`panel/kept/${n}`, '1', { retain: true, qos: 1 });
    }
    expect(refusedFor(running, 'not retained')).toBe(1);
    const reader = await sensor(running);
    const kept: string[] = [];
    reader.on('message', (topic) => kept.push(topic));
    await reader.subscribeAsync(['panel/kept/+', 'panel/stern']);
    await until('the kept ones', () => kept.length === MOST_RETAINED_TOPICS);
    await client.publishAsync('panel/stern', '1', { qos: 1 });
    await until('a live one', () => kept.at(-1) === 'panel/stern');
    expect(kept).toHaveLength(MOST_RETAINED_TOPICS + 1);
  });

  test('a client id without end is refused', async () => {
    const running = await run();
    const socket = await openTcp(running.intake.mqttAddress);
    socket.write(connectPacket('x'.repeat(129)));
    await until('the refusal', () => socket.destroyed);
    expect(running.intake.health().refused.map(({ reason }) => reason)).toEqual([
      'client id too long',
    ]);
  });

  test('more than 64 clients are refused, and there is room again when one leaves', async () => {
    const running = await run();
    const clients: MqttClient[] = [];
    for (let n = 0; n < 64; n += 1) clients.push(await sensor(running));
    const oneMore = await openTcp(running.intake.mqttAddress);
    await until('the refusal', () => oneMore.destroyed);
    expect(refusedFor(running, 'too many clients')).toBe(1);
    await clients[0]?.endAsync();
    await until('the place', () => running.intake.health().mqtt.clients === 63);
    await sensor(running);
    expect(running.intake.health().mqtt.clients).toBe(64);
  });
});

test('sessions are not kept: a client that asked for one finds none', async () => {
  const running = await run();
  const options: IClientOptions = { clientId: 'keeper', clean: false };
  const first = await sensor(running, options);
  await first.subscribeAsync('panel/stern', { qos: 1 });
  await first.endAsync();
  const other = await sensor(running);
  await other.publishAsync('panel/stern', '5', { qos: 1 });
  const sessions: boolean[] = [];
  const heard: string[] = [];
  const again = mqtt.connect(`mqtt://${running.intake.mqttAddress}`, options);
  stopAfterwards(() => again.endAsync(true));
  again.on('connect', ({ sessionPresent }) => sessions.push(sessionPresent));
  again.on('message', (topic) => heard.push(topic));
  await until('the second connection', () => sessions.length > 0);
  await again.publishAsync('panel/stern', '6', { qos: 1 });
  expect({ sessions, heard }).toEqual({ sessions: [false], heard: [] });
});

describe('starting and stopping', () => {
  test('a taken port is a problem that names the port and what to do', async () => {
    const running = await run();
    const port = Number(running.intake.mqttAddress.split(':')[1]);
    const second = await startIntake({
      boat: boatWith([], { mqtt: { broker: 'embedded', port } }),
      clock: startClock(),
      random: Math.random,
      onReading: () => {},
      log: running.log,
    });
    expect(second).toEqual({ problem: expect.stringContaining(`port ${port}: another program`) });
  });

  test('an address that this machine does not have is a problem', async () => {
    const result = await startIntake({
      boat,
      clock: startClock(),
      random: Math.random,
      onReading: () => {},
      log: gather().log,
      // TEST-NET-1 of RFC 5737: never assigned to a machine.
      mqttHost: '192.0.2.1',
      access: { credentials: new Map(), isOpenToAll: true },
    });
    expect(result).toEqual({ problem: expect.stringContaining('no such address') });
  });

  test('after stop nothing is heard and the port is free', async () => {
    const gathered = gather();
    const settings = { clock: startClock(), random: Math.random, ...gathered };
    const first = started(await startIntake({ boat, ...settings }));
    const will = {
      topic: 'panel/stern',
      payload: Buffer.from('7'),
      qos: 0,
      retain: false,
    } as const;
    const client = mqtt.connect(`mqtt://${first.mqttAddress}`, { reconnectPeriod: 0, will });
    const silent = await openTcp(first.mqttAddress);
    await until('both clients', () => client.connected && first.health().mqtt.clients === 2);
    await first.stop();
    await until('both gone', () => silent.destroyed && !client.connected);
    expect(gathered.inputs).toEqual([]);
    const port = Number(first.mqttAddress.split(':')[1]);
    const second = started(
      await startIntake({ boat, ...settings, mqtt: { broker: 'embedded', port } }),
    );
    expect(second.mqttAddress).toBe(first.mqttAddress);
    await second.stop();
  });
});
