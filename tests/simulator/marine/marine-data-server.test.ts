import { once } from 'node:events';
import { afterEach, describe, expect, test } from 'vitest';
import { WebSocket } from 'ws';
import { startMarineDataServer } from '../../../simulator/marine/marine-data-server.ts';
import type { MarineDataServer } from '../../../simulator/marine/marine-data-server.ts';
import { MARINE_SELF } from '../../../simulator/simulation.ts';
import { assertDelta, assertHello } from '../../daemon/intake/marine-schemas.ts';
import { valueAt } from '../payload.ts';

const PATH = 'electrical.batteries.house.voltage';
const META = [{ path: PATH, description: 'House bank, voltage', units: 'V' }];
const WALL_MS = Date.UTC(2026, 5, 1, 12);

const servers: MarineDataServer[] = [];
const sockets: WebSocket[] = [];

afterEach(async () => {
  for (const socket of sockets.splice(0)) socket.terminate();
  for (const server of servers.splice(0)) await server.close();
});

async function serve(speed = 1): Promise<MarineDataServer> {
  const server = await startMarineDataServer({
    port: 0,
    self: MARINE_SELF,
    meta: META,
    wallMs: () => WALL_MS,
    speed,
  });
  servers.push(server);
  return server;
}

function delta(value: number | null, second = 0, path = PATH): string {
  const timestamp = new Date(WALL_MS - 60_000 + second * 1000).toISOString();
  const values = [{ path, value }];
  return JSON.stringify({
    context: MARINE_SELF,
    updates: [{ $source: 'shunt.house', timestamp, values }],
  });
}

/** A client that keeps every frame. */
class Listener {
  readonly frames: string[] = [];
  readonly socket: WebSocket;

  constructor(server: MarineDataServer, query: string) {
    this.socket = new WebSocket(`ws://127.0.0.1:${server.port}/signalk/v1/stream${query}`);
    sockets.push(this.socket);
    this.socket.on('message', (frame: Buffer) => this.frames.push(frame.toString()));
  }

  async heard(count: number): Promise<string[]> {
    while (this.frames.length < count) await once(this.socket, 'message');
    return this.frames;
  }

  /** Frames that carry values, as pairs of value and timestamp. */
  get values(): unknown[] {
    return this.frames
      .filter((frame) => frame.includes('"values"'))
      .map((frame) => valueAt(frame, '/updates/0/values/0/value'));
  }

  say(message: object): void {
    this.socket.send(JSON.stringify(message));
  }
}

/** What a client is told that is not let in. */
async function refusal(server: MarineDataServer, path: string): Promise<string> {
  const socket = new WebSocket(`ws://127.0.0.1:${server.port}${path}`);
  return new Promise((resolve) => {
    socket.on('error', ({ message }) => resolve(message));
    socket.on('open', () => resolve('let in'));
  });
}

describe('hello', () => {
  test('comes first and keeps to the schema', async () => {
    const [hello = ''] = await new Listener(await serve(), '?subscribe=none').heard(1);
    assertHello(JSON.parse(hello));
    expect(valueAt(hello, '/self')).toBe(MARINE_SELF);
    expect(valueAt(hello, '/timestamp')).toBe(new Date(WALL_MS).toISOString());
  });
});

describe('subscribe=self', () => {
  test('cached values come at once with the time they were said, then new ones', async () => {
    const server = await serve();
    server.publish(delta(12.5, 3));
    const listener = new Listener(server, '');
    const [, meta = '', cached = ''] = await listener.heard(3);
    assertDelta(JSON.parse(meta));
    assertDelta(JSON.parse(cached));
    expect(valueAt(meta, '/updates/0/meta/0/value/units')).toBe('V');
    expect(valueAt(cached, '/updates/0/timestamp')).toBe('2026-06-01T11:59:03.000Z');
    server.publish(delta(12.6, 5));
    await listener.heard(4);
    expect(listener.values).toEqual([12.5, 12.6]);
  });

  test('sendCachedValues=false leaves them out', async () => {
    const server = await serve();
    server.publish(delta(12.5));
    const listener = new Listener(server, '?sendCachedValues=false');
    await listener.heard(1);
    server.publish(delta(12.7, 1));
    await listener.heard(3);
    expect(listener.values).toEqual([12.7]);
  });
});

describe('subscribe=none', () => {
  test('nothing comes until it is asked for, then only that', async () => {
    const server = await serve();
    server.publish(delta(12.5));
    const listener = new Listener(server, '?subscribe=none');
    await listener.heard(1);
    listener.say({ context: 'vessels.self', subscribe: [{ path: PATH, policy: 'instant' }] });
    await listener.heard(3);
    server.publish(delta(99, 1, 'electrical.solar.arch.current'));
    server.publish(delta(null, 2));
    await listener.heard(4);
    expect(listener.values).toEqual([12.5, null]);
  });

  test('a fixed period is the boat’s: at speed 20 a second passes in 50 ms', async () => {
    const server = await serve(20);
    const listener = new Listener(server, '?subscribe=none');
    await listener.heard(1);
    listener.say({ subscribe: [{ path: PATH, policy: 'fixed', period: 1000 }] });
    server.publish(delta(12.5));
    const before = performance.now();
    await listener.heard(6);
    expect(performance.now() - before).toBeLessThan(4000);
    expect(new Set(listener.values)).toEqual(new Set([12.5]));
  });

  test('unsubscribing ends it', async () => {
    const server = await serve();
    const listener = new Listener(server, '?subscribe=none');
    await listener.heard(1);
    listener.say({ subscribe: [{ path: '*', policy: 'instant', minPeriod: 0 }] });
    listener.say({ requestId: '1', put: { path: PATH, value: 1 } });
    await listener.heard(2);
    server.publish(delta(1, 1));
    await listener.heard(4);
    listener.say({ context: '*', unsubscribe: [{ path: '*' }] });
    // The answer to a request stands for everything said before it having been taken.
    listener.say({ requestId: '2', put: { path: PATH, value: 1 } });
    await listener.heard(5);
    server.publish(delta(2, 2));
    listener.say({ requestId: '3', put: { path: PATH, value: 1 } });
    await listener.heard(6);
    expect(listener.values).toEqual([1]);
  });
});

test('nothing can be switched through it: a put is answered with 405', async () => {
  const listener = new Listener(await serve(), '?subscribe=none');
  await listener.heard(1);
  listener.say({ requestId: 'r1', put: { path: 'electrical.switches.a', value: 1 } });
  const [, answer = ''] = await listener.heard(2);
  expect(valueAt(answer, '/requestId')).toBe('r1');
  expect(valueAt(answer, '/statusCode')).toBe(405);
});

test('nonsense does not end the connection', async () => {
  const server = await serve();
  const listener = new Listener(server, '');
  await listener.heard(1);
  listener.socket.send('{');
  listener.say({ requestId: 'alive', put: {} });
  await listener.heard(2);
  server.publish(delta(12.5));
  await listener.heard(4);
  expect(listener.values).toEqual([12.5]);
});

test('another path is not found, an unknown option not implemented', async () => {
  const server = await serve();
  expect(await refusal(server, '/elsewhere')).toMatch(/404/);
  expect(await refusal(server, '/signalk/v1/stream?subscribe=some')).toMatch(/501/);
});

test('discovery tells where the stream is', async () => {
  const server = await serve();
  const answer = await fetch(`http://127.0.0.1:${server.port}/signalk`);
  const stream = valueAt(await answer.text(), '/endpoints/v1/signalk-ws');
  expect(stream).toBe(`ws://127.0.0.1:${server.port}/signalk/v1/stream`);
  expect((await fetch(`http://127.0.0.1:${server.port}/other`)).status).toBe(404);
});
