/** Intake as a whole: demo boats, what health says, and units against the published ones. */
import { readFileSync, readdirSync } from 'node:fs';
import schema from '@signalk/signalk-schema';
import mqtt from 'mqtt';
import { describe, expect, test } from 'vitest';
import { intakeHealthSchema } from '../../../daemon/api/contract.ts';
import { startClock } from '../../../daemon/clock.ts';
import { startIntake, type Intake, type IntakeOptions } from '../../../daemon/intake/intake.ts';
import { REFUSALS } from '../../../daemon/intake/refusals.ts';
import { readBoat, type Boat, type Point } from '../../../rules/index.ts';
import { gather, started, stopAfterwards, until, type Gathered } from './gathering.ts';
import { startPeer } from './marine-data-peer.ts';

const FOLDER = new URL('../../../simulator/boats/', import.meta.url);
const demoBoats = readdirSync(FOLDER).map((file): [string, Boat] => {
  const { boat, problems } = readBoat(readFileSync(new URL(file, FOLDER), 'utf8'), file);
  if (!boat) throw new Error(`${file}: ${problems.map(({ message }) => message).join('; ')}`);
  return [file, boat];
});
const pointsVia = (boat: Boat, via: 'mqtt' | 'marine data'): Point[] =>
  [...boat.points.values()].filter(({ address }) => address.via === via);

async function start(boat: Boat, over: Partial<IntakeOptions> = {}) {
  const gathered: Gathered = gather();
  const options = { boat, clock: startClock(), random: () => 0, ...gathered };
  const intake: Intake = started(
    await startIntake({ ...options, mqtt: { broker: 'embedded', port: 0 }, ...over }),
  );
  stopAfterwards(() => intake.stop());
  return { intake, ...gathered };
}

describe.each(demoBoats)('%s', (_file, boat) => {
  test('every MQTT point hears its own topic', async () => {
    const { intake, inputs } = await start(boat, { marineDataUrl: null });
    const client = await mqtt.connectAsync(`mqtt://${intake.mqttAddress}`);
    stopAfterwards(() => client.endAsync(true));
    const points = pointsVia(boat, 'mqtt');
    for (const { address, words } of points) {
      if (address.via !== 'mqtt') continue;
      const raw = words ? ([...words.keys()][0] ?? '') : '1';
      await client.publishAsync(address.topic, payloadFor(address.pointer, raw), { qos: 1 });
    }
    const heard = new Set(inputs.map(({ pointId }) => pointId));
    expect([...heard].sort()).toEqual(points.map(({ id }) => id).sort());
    expect(intake.health().unmapped).toEqual([]);
  });

  test('every open marine data point has the unit that the standard publishes for its path', () => {
    const points = pointsVia(boat, 'marine data');
    expect(points.length).toBeGreaterThan(0);
    for (const { address, unit } of points) {
      if (address.via !== 'marine data') continue;
      expect([address.path, unit]).toEqual([
        address.path,
        schema.getUnits(`vessels.self.${address.path}`) ?? 'no unit published',
      ]);
    }
  });
});

/** JSON with `raw` at the pointer and nothing else, or `raw` itself. */
function payloadFor(pointer: string | undefined, raw: string): string {
  if (pointer === undefined) return raw;
  const tokens = pointer.slice(1).split('/').reverse();
  return tokens.reduce((inner, token) => {
    const index = Number(token);
    const key = token.replaceAll('~1', '/').replaceAll('~0', '~');
    return Number.isInteger(index)
      ? `[${'null,'.repeat(index)}${inner}]`
      : `{${JSON.stringify(key)}:${inner}}`;
  }, raw);
}

describe('health', () => {
  const [, boat] = demoBoats[0] ?? [];
  if (!boat) throw new Error('no demo boat');

  test('keeps to the contract of the API, with and without open marine data', async () => {
    const peer = await startPeer();
    const { intake } = await start(boat, { marineDataUrl: `${peer.url}?token=secret` });
    (await peer.connection(1)).hello(null);
    await until('the hello', () => intake.health().marineData?.isConnected === true);
    const health = intakeHealthSchema.parse(intake.health());
    expect(health.marineData?.url).toBe(peer.url);
    expect(intake.problems()).toEqual([]);
    const without = await start(boat, { marineDataUrl: null });
    expect(intakeHealthSchema.parse(without.intake.health()).marineData).toBeNull();
  });

  test('says in whole sentences what cannot be reached', async () => {
    const { intake } = await start(boat, {
      mqtt: { broker: 'mqtt://127.0.0.1:1' },
      marineDataUrl: 'ws://127.0.0.1:1/',
    });
    await until('both errors', () => !intake.problems().join().includes('not connected yet'));
    expect(intake.problems()).toEqual([
      expect.stringMatching(
        /^The MQTT broker mqtt:\/\/127.0.0.1:1 cannot be reached: .*ECONNREFUSED.*\.$/,
      ),
      expect.stringMatching(
        /^The open marine data server ws:\/\/127.0.0.1:1\/ cannot be reached: .*ECONNREFUSED.*\.$/,
      ),
    ]);
  });
});

test('every reason for a refusal is a whole sentence', () => {
  for (const meaning of Object.values(REFUSALS)) expect(meaning).toMatch(/^[A-Z].*\.$/);
});

test('a token or password never reaches the log', async () => {
  const [, boat] = demoBoats[0] ?? [];
  if (!boat) throw new Error('no demo boat');
  const { lines, intake } = await start(boat, {
    mqtt: { broker: 'mqtt://127.0.0.1:1' },
    mqttUser: 'panel',
    mqttPassword: 'sesame',
    marineDataUrl: 'ws://panel:sesame@127.0.0.1:1/?token=sesame',
  });
  await until('both errors', () => lines.length >= 2);
  expect(JSON.stringify([lines, intake.health(), intake.problems()])).not.toContain('sesame');
});

test('stopping leaves no socket, server or timer behind', async () => {
  const [, boat] = demoBoats[0] ?? [];
  if (!boat) throw new Error('no demo boat');
  const peer = await startPeer();
  const before = openResources();
  const clock = startClock();
  const options = { boat, clock, random: () => 0, ...gather(), marineDataUrl: peer.url };
  const own = started(await startIntake({ ...options, mqtt: { broker: 'embedded', port: 0 } }));
  const broker = `mqtt://${own.mqttAddress}`;
  const outside = started(await startIntake({ ...options, mqtt: { broker } }));
  const unreachable = started(
    await startIntake({
      ...options,
      mqtt: { broker: 'mqtt://127.0.0.1:1' },
      marineDataUrl: 'ws://127.0.0.1:1/',
    }),
  );
  for (const count of [1, 2]) (await peer.connection(count)).hello(clock.nowMs());
  await until('all is connected', () =>
    [own, outside].every((intake) => {
      const health = intake.health();
      return health.mqtt.isConnected && health.marineData?.isConnected === true;
    }),
  );
  await Promise.all([unreachable.stop(), outside.stop(), own.stop()]);
  await until('nothing is left', () => openResources() <= before);
  expect(openResources()).toBeLessThanOrEqual(before);
});

/** Sockets, servers and timers that keep a process alive. */
function openResources(): number {
  const kinds = new Set(['TCPSocketWrap', 'TCPServerWrap', 'Timeout']);
  return process.getActiveResourcesInfo().filter((kind) => kinds.has(kind)).length;
}
