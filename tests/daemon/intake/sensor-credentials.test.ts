/**
 * Sensors on a network: who comes in, what each may say and hear. The clients connect over the
 * loopback address, which the broker is told to take for a stranger's.
 */
import type { Socket } from 'node:net';
import mqtt, { type IClientOptions, type MqttClient } from 'mqtt';
import { describe, expect, test } from 'vitest';
import { startClock } from '../../../daemon/clock.ts';
import { MOST_TRESPASSES } from '../../../daemon/intake/broker-gate.ts';
import { startEmbeddedBroker } from '../../../daemon/intake/embedded-broker.ts';
import { createCounters } from '../../../daemon/intake/intake-counters.ts';
import { startIntake } from '../../../daemon/intake/intake.ts';
import { isLoopback, readSensorAccess } from '../../../daemon/intake/sensor-access.ts';
import type { SensorAccess } from '../../../daemon/intake/sensor-access.ts';
import { settingsSchema } from '../../../daemon/settings/settings.ts';
import { makeSensorToken } from '../../../daemon/sensor-token.ts';
import { boatWith } from './boat-with-points.ts';
import { gather, started, stopAfterwards, until } from './gathering.ts';
import { openTcp } from './mqtt-bytes.ts';

const TOKENS = { bow: makeSensorToken('bow'), stern: makeSensorToken('stern') };

/** Access as the settings file gives it; the lines are those that `sensor-token` prints. */
function access(over: { anonymousOnNetwork?: boolean } = {}): SensorAccess {
  const hashOf = (lines: string[]) => /'([0-9a-f]{64})'/.exec(lines.join('\n'))?.[1];
  const { sensors } = settingsSchema.parse({
    sensors: {
      credentials: {
        bow: {
          tokenHash: hashOf(TOKENS.bow.lines),
          publish: ['panel/bow/', 'lamp/state'],
          subscribe: ['lamp/order'],
        },
        stern: { tokenSecret: 'stern-token', publish: ['panel/stern'] },
      },
      ...over,
    },
  });
  return started(readSensorAccess(sensors, new Map([['stern-token', TOKENS.stern.token]])));
}

async function run({ isLocal = false, rights = access() } = {}) {
  const heard: string[] = [];
  const { log, lines } = gather();
  const clock = startClock();
  const counters = createCounters(clock, log);
  const broker = started(
    await startEmbeddedBroker({
      host: '127.0.0.1',
      port: 0,
      clock,
      counters,
      log,
      access: rights,
      isLocal: () => isLocal,
      onMessage: ({ topic, payload }) => heard.push(`${topic} ${Buffer.from(payload).toString()}`),
    }),
  );
  stopAfterwards(() => broker.stop());
  const connect = async (options: IClientOptions = {}): Promise<MqttClient> => {
    const client = await mqtt.connectAsync(`mqtt://${broker.address}`, {
      reconnectPeriod: 0,
      ...options,
    });
    client.on('error', () => {});
    stopAfterwards(() => client.endAsync(true));
    return client;
  };
  return {
    heard,
    lines,
    broker,
    connect,
    bow: (options: IClientOptions = {}) =>
      connect({ username: 'bow', password: TOKENS.bow.token, ...options }),
    stern: () => connect({ username: 'stern', password: TOKENS.stern.token }),
    refused: (reason: string) =>
      counters.refused().find((line) => line.reason === reason)?.count ?? 0,
    refusals: () => counters.refused().map(({ reason, count }) => [reason, count]),
  };
}

/** A grant of MQTT 3.1.1 section 3.9.3: 0 to 2, or 128 for none. */
async function granted(client: MqttClient, filter: string): Promise<number | undefined> {
  const answers = await client
    .subscribeAsync(filter)
    .catch(({ packet }: { packet: { granted: number[] } }) => [{ qos: packet.granted[0] }]);
  return answers[0]?.qos;
}

describe('coming in from a network', () => {
  test('with name and token: by hash in the settings, or by a token among the secrets', async () => {
    const { bow, stern, heard } = await run();
    await (await bow()).publishAsync('panel/bow/volts', '120', { qos: 1 });
    await (await stern()).publishAsync('panel/stern', '118', { qos: 1 });
    expect(heard).toEqual(['panel/bow/volts 120', 'panel/stern 118']);
  });

  // CONNACK return codes of MQTT 3.1.1 table 3.1: 4 bad user name or password, 5 not authorized.
  test.each<[string, IClientOptions, number, string]>([
    ['nothing', {}, 5, 'no credentials'],
    ['another token', { username: 'bow', password: TOKENS.stern.token }, 4, 'wrong token'],
    ['no token', { username: 'bow' }, 4, 'wrong token'],
    ['an empty token', { username: 'bow', password: '' }, 4, 'wrong token'],
    ['the hash of the token', { username: 'bow', password: 'a'.repeat(64) }, 4, 'wrong token'],
    ['an unknown name', { username: 'mast', password: TOKENS.bow.token }, 4, 'wrong token'],
    ['a name of JavaScript', { username: '__proto__', password: 'x' }, 4, 'wrong token'],
  ])('with %s is refused and counted', async (_what, options, code, reason) => {
    const { connect, refused, lines, broker } = await run();
    await expect(connect(options)).rejects.toMatchObject({ code });
    expect(refused(reason)).toBe(1);
    expect(lines.join('\n')).not.toContain(TOKENS.stern.token);
    await until('it is gone', () => broker.clients() === 0);
  });

  test('a refused client leaves the last will of nobody, and pushes nobody out', async () => {
    const { bow, connect, heard } = await run();
    const first = await bow();
    const will = { topic: 'panel/bow/volts', payload: Buffer.from('0'), qos: 1 as const };
    const impostor = { clientId: 'bow', will: { ...will, retain: false } };
    await expect(connect(impostor)).rejects.toMatchObject({ code: 5 });
    await expect(connect({ ...impostor, username: 'bow' })).rejects.toMatchObject({ code: 4 });
    await first.publishAsync('panel/bow/volts', '120', { qos: 2 });
    expect({ heard, isThere: first.connected }).toEqual({
      heard: ['panel/bow/volts 120'],
      isThere: true,
    });
  });

  test('no sensor pushes out another by its client id; its own last connection gives way', async () => {
    const { bow, connect, broker } = await run();
    const first = await bow({ clientId: 'clamp' });
    const other = await connect({
      username: 'stern',
      password: TOKENS.stern.token,
      clientId: 'bow',
    });
    await other.publishAsync('panel/stern', '1', { qos: 1 });
    await first.publishAsync('panel/bow/volts', '1', { qos: 1 });
    const again = await bow({ clientId: 'another' });
    await until('the first has gone', () => !first.connected);
    await again.publishAsync('panel/bow/volts', '2', { qos: 1 });
    expect(broker.clients()).toBe(2);
  });
});

describe('on this computer', () => {
  test('nobody needs a name, but a name that is given must be right', async () => {
    const { connect, heard, refused } = await run({ isLocal: true });
    const client = await connect({ clientId: 'bow' });
    await client.publishAsync('panel/stern', '1', { qos: 1 });
    await expect(connect({ username: 'bow', password: 'x' })).rejects.toMatchObject({ code: 4 });
    expect([heard, refused('wrong token')]).toEqual([['panel/stern 1'], 1]);
  });

  test.each(['127.0.0.1', '127.8.9.1', '::1', '[::1]', '::ffff:127.0.0.1', 'localhost'])(
    '%s is here',
    (address) => expect(isLoopback(address)).toBe(true),
  );
  test.each(['', '0.0.0.0', '::', '192.0.2.1', '127.0.0.1.example', 'fe80::1', '::ffff:10.0.0.1'])(
    '"%s" is not',
    (address) => expect(isLoopback(address)).toBe(false),
  );
});

describe('a sensor with a name', () => {
  test('publishes what its settings list; the rest is dropped, and it stays', async () => {
    const { bow, heard, refused } = await run();
    const client = await bow();
    for (const topic of ['panel/bow', 'panel/bow/', 'panel/bowsprit', 'lamp/state/x', 'mast']) {
      await client.publishAsync(topic, '1', { qos: 1, retain: true });
    }
    await client.publishAsync('lamp/state', 'on', { qos: 1 });
    await client.publishAsync('panel/bow/a/b', '2', { qos: 1 });
    expect(heard).toEqual(['lamp/state on', 'panel/bow/a/b 2']);
    expect(refused('not its topic')).toBe(5);
  });

  test('that goes on publishing what is another’s is cut off', async () => {
    const { bow, heard, refusals } = await run();
    const client = await bow();
    for (let n = 0; n < MOST_TRESPASSES; n += 1) client.publish('panel/stern', '999');
    await until('the end', () => !client.connected);
    expect(heard).toEqual([]);
    expect(refusals()).toEqual([
      ['not its topic', MOST_TRESPASSES - 1],
      ['cut off', 1],
    ]);
    await (await bow()).publishAsync('panel/bow/volts', '1', { qos: 1 });
    expect(heard).toEqual(['panel/bow/volts 1']);
  });

  test('keeps retained messages of its own topics only', async () => {
    const { bow, stern, connect } = await run({ rights: access({ anonymousOnNetwork: true }) });
    await (await bow()).publishAsync('lamp/state', 'on', { qos: 1, retain: true });
    // An empty one would delete what is kept there, MQTT 3.1.1 section 3.3.1.3.
    await (await stern()).publishAsync('lamp/state', '', { qos: 1, retain: true });
    const reader = await connect();
    const kept: string[] = [];
    reader.on('message', (topic, payload) => kept.push(`${topic} ${payload.toString()}`));
    await reader.subscribeAsync('lamp/state');
    await until('what is kept', () => kept.length > 0);
    expect(kept).toEqual(['lamp/state on']);
  });

  test('has a last will on its own topics only', async () => {
    const { bow, connect, heard, refused } = await run();
    const will = { payload: Buffer.from('gone'), qos: 1 as const, retain: false };
    const good = await bow({ will: { ...will, topic: 'panel/bow/state' } });
    const rogue = await connect({
      username: 'stern',
      password: TOKENS.stern.token,
      will: { ...will, topic: 'panel/bow/state' },
    });
    expect(refused('not its topic')).toBe(1);
    rogue.stream.destroy();
    good.stream.destroy();
    await until('the good one’s will', () => heard.length > 0);
    expect(heard).toEqual(['panel/bow/state gone']);
  });

  test('hears what its settings list, and no wildcard', async () => {
    const { bow, refused } = await run();
    const client = await bow();
    const refusedFilters = ['lamp/+', 'lamp/#', 'panel/stern', 'panel/bow/x', '#', '$SYS/#', '+'];
    for (const filter of refusedFilters) expect(await granted(client, filter)).toBe(128);
    expect(refused('subscription not allowed')).toBe(refusedFilters.length);
    expect(await granted(client, 'lamp/order')).toBe(0);
  });
});

describe('anonymous on a network', () => {
  const start = async (over: object) => {
    const gathered = gather();
    const clock = startClock();
    const options = { boat: boatWith([]), clock, random: () => 0, ...gathered };
    const intake = await startIntake({ ...options, mqttHost: '0.0.0.0', ...over });
    if (!('problem' in intake)) stopAfterwards(() => intake.stop());
    return intake;
  };

  test('the broker does not open there when no sensor has a token', async () => {
    expect(await start({})).toEqual({ problem: expect.stringContaining('sensor-token') });
  });

  test('it opens for sensors with tokens, and health is content', async () => {
    expect(started(await start({ access: access() })).problems()).toEqual([]);
  });

  test('it opens for anyone where the settings say so, and health says so all the while', async () => {
    const intake = started(await start({ access: access({ anonymousOnNetwork: true }) }));
    expect(intake.problems()).toEqual([expect.stringContaining('Anyone on the network')]);
  });

  test('whoever has no name still leaves the topics of named sensors alone', async () => {
    const { connect, heard, refused } = await run({ rights: access({ anonymousOnNetwork: true }) });
    const client = await connect();
    await client.publishAsync('panel/stern', '999', { qos: 1 });
    await client.publishAsync('panel/mast', '12', { qos: 1 });
    expect([heard, refused('not its topic')]).toEqual([['panel/mast 12'], 1]);
  });
});

test('connections that never say who they are leave a sensor its place', async () => {
  const { bow, broker, refused } = await run();
  const strangers: Socket[] = [];
  for (let n = 0; n < 200; n += 1) strangers.push(await openTcp(broker.address));
  stopAfterwards(() => strangers.forEach((socket) => socket.destroy()));
  const client = await bow();
  await client.publishAsync('panel/bow/volts', '1', { qos: 1 });
  expect(broker.clients()).toBeLessThanOrEqual(33);
  expect(refused('too many clients')).toBeGreaterThanOrEqual(168);
});
