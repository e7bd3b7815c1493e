/** The open marine data client and its link: subscribing, losing it, getting it back, stopping. */
import { describe, expect, test } from 'vitest';
import { manualClock } from '../../../daemon/clock.ts';
import { startIntake } from '../../../daemon/intake/intake.ts';
import { gather, started, until } from './gathering.ts';
import {
  AMPS,
  CHARGE,
  START,
  SWITCH,
  VOLTS,
  boat,
  listen,
  marine,
  subscribed,
} from './marine-data-listening.ts';
import { SELF, startPeer } from './marine-data-peer.ts';
import { assertSubscribe } from './marine-schemas.ts';

describe('subscribing', () => {
  test('waits for the hello, then asks for exactly the boat’s paths', async () => {
    const running = await listen(await startPeer());
    const server = await running.peer.connection(1);
    expect(server.request.url).toBe('/signalk/v1/stream?subscribe=none');
    expect(server.request.headers.authorization).toBeUndefined();
    expect(marine(running)).toMatchObject({ isConnected: false, lastError: 'not connected yet' });
    server.hello(START);
    await until('the subscription', () => server.received.length === 1);
    expect(marine(running)).toMatchObject({ isConnected: true, lastError: null });
    const [message] = server.received;
    assertSubscribe(message);
    expect(message).toEqual({
      context: 'vessels.self',
      subscribe: [
        { path: VOLTS, format: 'delta', policy: 'fixed', period: 1_000 },
        { path: CHARGE, format: 'delta', policy: 'fixed', period: 1_000 },
        { path: SWITCH, format: 'delta', policy: 'instant', minPeriod: 0 },
        { path: AMPS, format: 'delta', policy: 'fixed', period: 500 },
      ],
    });
  });

  test('takes a hello with a strange version and unknown keys', async () => {
    const running = await listen(await startPeer());
    const server = await running.peer.connection(1);
    server.raw({
      name: 'x',
      version: 'not a version',
      serverStartId: 'a',
      self: SELF,
      roles: [],
      z: {},
    });
    await until('the subscription', () => server.received.length === 1);
    expect(marine(running).isConnected).toBe(true);
  });

  test('leaves an address that says what to subscribe to as it is', async () => {
    const peer = await startPeer();
    await listen(peer, { marineDataUrl: `${peer.url}?subscribe=self&sourcePolicy=all` });
    const { request } = await peer.connection(1);
    expect(request.url).toBe('/signalk/v1/stream?subscribe=self&sourcePolicy=all');
  });

  test('a token goes into the handshake and nowhere else', async () => {
    const peer = await startPeer();
    const running = await listen(peer, { marineDataToken: 'secret-token' });
    const { request } = await peer.connection(1);
    expect(request.headers.authorization).toBe('Bearer secret-token');
    expect(JSON.stringify([running.intake.health(), running.lines])).not.toContain('secret-token');
  });

  test('a second hello on the same connection is answered with a second subscription', async () => {
    const { server } = await subscribed();
    server.hello(START + 10_000);
    await until('the second', () => server.received.length === 2);
    expect(server.received[1]).toEqual(server.received[0]);
  });
});

describe('the link', () => {
  test('is given up when no hello comes', async () => {
    const running = await listen(await startPeer());
    await running.peer.connection(1);
    running.clock.advanceTo(START + 15_000);
    await until('the end', () => marine(running).lastError === 'no hello came within 15 s');
    running.clock.advanceTo(START + 16_000);
    await running.peer.connection(2);
    expect(running.peer.connections).toHaveLength(2);
  });

  test('is given up when nothing at all is heard, and made anew', async () => {
    const running = await listen(await startPeer({ isDeaf: true }));
    (await running.peer.connection(1)).hello(START);
    await until('the hello', () => marine(running).isConnected);
    running.clock.advanceTo(START + 74_000);
    expect(marine(running).isConnected).toBe(true);
    running.clock.advanceTo(START + 75_000);
    await until('the end', () => !marine(running).isConnected);
    expect(marine(running).lastError).toBe('nothing was heard for 75 s');
    running.clock.advanceTo(START + 76_000);
    (await running.peer.connection(2)).hello(START + 76_000);
    await until('the new hello', () => marine(running).isConnected);
  });

  test('lives without values as long as pings are answered', async () => {
    const running = await listen(await startPeer());
    const server = await running.peer.connection(1);
    server.hello(START);
    await until('the hello', () => marine(running).isConnected);
    let pings = 0;
    server.socket.on('ping', () => (pings += 1));
    for (let ping = 1; ping <= 6; ping += 1) {
      running.clock.advanceTo(START + ping * 25_000);
      await until('the ping', () => pings === ping);
    }
    expect(marine(running)).toMatchObject({ isConnected: true, frames: 1 });
  });

  test.each([
    [401, /answered 401: it does not let panelward in/],
    [403, /answered 403: it does not let panelward in/],
    [429, /answered 429: it has too many connections/],
  ])('refused with %i is tried again only after a minute', async (status, words) => {
    const running = await listen(await startPeer({ refuseWith: status }));
    await until('the refusal', () => words.test(marine(running).lastError ?? ''));
    expect(running.lines.at(-1)).toContain('trying again in 60 s');
  });

  test('refused with anything else is tried again soon', async () => {
    const running = await listen(await startPeer({ refuseWith: 404 }));
    await until('the refusal', () => /404/.test(marine(running).lastError ?? ''));
    expect(running.lines.at(-1)).toContain('trying again in 1 s');
  });

  test('waits longer after each failure, and starts small again only after a hello', async () => {
    const running = await listen(await startPeer(), { random: () => 0.999 });
    const { clock, peer, lines } = running;
    let count = 0;
    const failOnce = async (seconds: number, withHello: boolean): Promise<void> => {
      count += 1;
      const server = await peer.connection(count);
      if (withHello) {
        server.hello(clock.nowMs());
        await until('the hello', () => marine(running).isConnected);
      }
      const before = lines.length;
      server.socket.terminate();
      await until('the wait', () => lines.length > before);
      expect(lines.at(-1)).toContain(`trying again in ${seconds} s`);
      clock.advanceTo(clock.nowMs() + seconds * 1000);
    };
    for (const seconds of [2, 4, 8, 16, 32, 60, 60]) await failOnce(seconds, false);
    await failOnce(2, true);
    await failOnce(4, false);
  });

  test('to nobody is an error and no crash', async () => {
    const running = await listen(await startPeer(), { marineDataUrl: 'ws://127.0.0.1:1/x' });
    await until('the error', () => /ECONNREFUSED/.test(marine(running).lastError ?? ''));
    expect(marine(running).url).toBe('ws://127.0.0.1:1/x');
  });
});

const quiet = { boat, clock: manualClock(START), random: () => 0, ...gather() };

test.each(['', 'two words', 'token\n'])(
  'the token %j is a problem at once',
  async (marineDataToken) => {
    const marineDataUrl = 'ws://127.0.0.1:1/';
    const result = await startIntake({ ...quiet, marineDataUrl, marineDataToken });
    expect(result).toEqual({ problem: expect.stringContaining('give the token alone') });
  },
);

test.each([
  ['127.0.0.1:3000', /begins with|not a URL/],
  ['http://127.0.0.1:3000', /begins with http:/],
  ['ws://boat#x', /has a #/],
  ['', /not a URL/],
])('the address %j is a problem at once, and nothing stays open', async (marineDataUrl, words) => {
  const other = started(await startIntake({ ...quiet, marineDataUrl: null }));
  const port = Number(other.mqttAddress.split(':')[1]);
  await other.stop();
  const mqtt = { broker: 'embedded', port } as const;
  const expected = { problem: expect.stringMatching(words) };
  expect(await startIntake({ ...quiet, mqtt, marineDataUrl })).toEqual(expected);
  const next = started(await startIntake({ ...quiet, mqtt, marineDataUrl: null }));
  expect(next.mqttAddress).toBe(other.mqttAddress);
  await next.stop();
});

test('after stop nothing is heard, not even the rest of the delta', async () => {
  const heard: string[] = [];
  const running = await subscribed({
    onReading: ({ pointId }) => {
      heard.push(pointId);
      void running.intake.stop();
    },
  });
  const values = [
    { path: VOLTS, value: 12.6 },
    { path: SWITCH, value: true },
  ];
  running.server.raw({ updates: [{ $source: 'shunt.1', values }] });
  await until('the end', () => running.server.socket.readyState === running.server.socket.CLOSED);
  expect(heard).toEqual(['volts']);
});
