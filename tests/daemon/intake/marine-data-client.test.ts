/** The open marine data client against a scripted server, in good manners and in bad ones. */
import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { manualClock, type ManualClock } from '../../../daemon/clock.ts';
import { startIntake, type Intake, type IntakeOptions } from '../../../daemon/intake/intake.ts';
import { boatWith, marinePoint } from './boat-with-points.ts';
import { gather, started, stopAfterwards, until, type Gathered } from './gathering.ts';
import { SELF, startPeer, type Peer, type PeerConnection } from './marine-data-peer.ts';
import { assertSubscribe } from './marine-schemas.ts';

const START = Date.UTC(2026, 5, 1, 12);
const VOLTS = 'electrical.batteries.house.voltage';
const CHARGE = 'electrical.batteries.house.capacity.stateOfCharge';
const SWITCH = 'electrical.switches.isolator.state';
const AMPS = 'electrical.solar.arch.current';

const boat = boatWith([
  marinePoint('volts', VOLTS, {
    address: { via: 'marine data', path: VOLTS, sourcePattern: 'shunt.*' },
    max: 60,
  }),
  marinePoint('charge', CHARGE, {
    quantity: 'stateOfCharge',
    unit: 'ratio',
    max: 1,
    expectedEveryMs: 10_000,
  }),
  marinePoint('isolator', SWITCH, {
    quantity: 'switch',
    unit: '',
    words: new Map([
      ['true', 'closed'],
      ['false', 'open'],
    ]),
  }),
  marinePoint('solar', AMPS, { quantity: 'amps', unit: 'A', expectedEveryMs: 500 }),
]);

interface Running extends Gathered {
  intake: Intake;
  clock: ManualClock;
  peer: Peer;
}

async function listen(peer: Peer, over: Partial<IntakeOptions> = {}): Promise<Running> {
  const gathered = gather();
  const clock = manualClock(START);
  const options = { boat, clock, random: () => 0, marineDataUrl: peer.url, ...gathered, ...over };
  const intake = started(await startIntake(options));
  stopAfterwards(() => intake.stop());
  return { intake, clock, peer, ...gathered };
}

const marine = ({ intake }: Running) => {
  const { marineData } = intake.health();
  if (!marineData) throw new Error('no open marine data');
  return marineData;
};
const refused = ({ intake }: Running): Record<string, number> =>
  Object.fromEntries(intake.health().refused.map(({ reason, count }) => [reason, count]));

/** Lets the client have read everything that was sent: its frame count has to reach this. */
const framesRead = (running: Running, count: number): Promise<void> =>
  until(`${count} frames`, () => marine(running).frames >= count);

/** Connected, subscribed, and past the first moments in which values count as replayed. */
async function subscribed(
  over: Partial<IntakeOptions> = {},
): Promise<Running & { server: PeerConnection }> {
  const running = await listen(await startPeer(), over);
  const server = await running.peer.connection(1);
  server.hello(START);
  await until('the subscription', () => server.received.length === 1);
  running.clock.advanceTo(START + 10_000);
  return { ...running, server };
}

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

describe('values', () => {
  test('become readings, stamped with our clock', async () => {
    const running = await subscribed();
    running.server.value(VOLTS, 12.71, { atMs: START + 9_900 });
    running.server.value(CHARGE, 0.81, { atMs: START + 9_900 });
    running.server.value(SWITCH, true, { atMs: START + 9_900 });
    await framesRead(running, 4);
    const atMs = START + 10_000;
    expect(running.inputs).toEqual([
      { pointId: 'volts', value: 12.71, atMs },
      { pointId: 'charge', value: 0.81, atMs },
      { pointId: 'isolator', value: 'closed', atMs },
    ]);
    expect(marine(running).readings).toBe(3);
    expect(refused(running)).toEqual({});
  });

  test('of null are a silence, also when the server says so for a lost source', async () => {
    const running = await subscribed();
    running.server.value(VOLTS, null, { atMs: START + 8_000 });
    running.server.value(VOLTS, 12.6, { atMs: START + 9_000 });
    running.server.raw({
      updates: [
        {
          $source: 'shunt.1',
          timestamp: new Date(START + 9_500).toISOString(),
          $backpressure: { accumulated: 3, duration: 200 },
          values: [
            { path: VOLTS, value: null, state: { timedOut: true, lastValue: { value: 12.6 } } },
          ],
        },
      ],
    });
    await framesRead(running, 4);
    expect(running.of('volts')).toEqual([null, 12.6, null]);
  });

  test('without a timestamp are live', async () => {
    const running = await subscribed();
    running.server.value(VOLTS, 12.6, {});
    await framesRead(running, 2);
    expect(running.inputs).toEqual([{ pointId: 'volts', value: 12.6, atMs: START + 10_000 }]);
  });

  test('of other vessels, paths and shapes are counted', async () => {
    const running = await subscribed();
    const { server } = running;
    const other = 'vessels.urn:mrn:signalk:uuid:c0d79334-4e25-4245-8892-54e8ccc8021d';
    server.value(VOLTS, 12.6, { context: other });
    server.value('navigation.speedOverGround', 2, {});
    server.value(VOLTS, { nominal: 12 }, {});
    server.value(VOLTS, 'high', {});
    server.value(CHARGE, 81, {});
    server.value(SWITCH, 'sideways', {});
    await framesRead(running, 7);
    expect(running.inputs).toEqual([]);
    expect(refused(running)).toEqual({
      'other vessel': 1,
      'not a number': 2,
      'impossible value': 1,
      'unknown word': 1,
    });
    expect(running.intake.health().unmapped).toEqual([
      { address: 'navigation.speedOverGround', count: 1 },
    ]);
  });

  test('belong to us by every name of our own vessel', async () => {
    const running = await subscribed();
    const value = (context: string | undefined, volts: number) => ({
      context,
      updates: [{ $source: 'shunt.1', values: [{ path: VOLTS, value: volts }] }],
    });
    running.server.raw(value(undefined, 12.1));
    running.server.raw(value('vessels.self', 12.2));
    running.server.raw(value(SELF, 12.3));
    running.server.raw(value(SELF.replace('vessels.', ''), 12.4));
    running.server.raw(value('vessels.self.x', 12.5));
    await framesRead(running, 6);
    expect(running.of('volts')).toEqual([12.1, 12.2, 12.3, 12.4]);
  });
});

test('a hello that does not say who we are leaves it to the first who speaks on our paths', async () => {
  const running = await listen(await startPeer());
  const server = await running.peer.connection(1);
  server.raw({ version: '1.8.2', roles: ['master', 'main'] });
  await until('the subscription', () => server.received.length === 1);
  const other = 'vessels.urn:mrn:signalk:uuid:c0d79334-4e25-4245-8892-54e8ccc8021d';
  server.value('navigation.speedOverGround', 3, { context: other });
  server.value(VOLTS, 12.6, { context: SELF });
  server.value(VOLTS, 11.1, { context: other });
  await framesRead(running, 4);
  expect(running.of('volts')).toEqual([12.6]);
  expect(refused(running)).toEqual({ 'other vessel': 2 });
});

describe('sources', () => {
  test('are matched to the point’s pattern', async () => {
    const running = await subscribed();
    running.server.value(VOLTS, 13.1, { source: 'charger.1' });
    running.server.value(VOLTS, 12.6, { source: 'shunt.1' });
    running.server.value(VOLTS, 12.5, { source: 'shunt.2' });
    await framesRead(running, 4);
    expect(running.of('volts')).toEqual([12.6, 12.5]);
    expect(refused(running)).toEqual({ 'other source': 1 });
    expect(running.lines.filter((line) => line.includes('one more source, shunt.2'))).toHaveLength(
      1,
    );
  });

  test('are the first that spoke where the point names none', async () => {
    const running = await subscribed();
    running.server.value(AMPS, 7, { source: 'solar.a' });
    running.server.value(AMPS, 90, { source: 'solar.b' });
    running.server.value(AMPS, 8, { source: 'solar.a' });
    await framesRead(running, 4);
    expect(running.of('solar')).toEqual([7, 8]);
    expect(refused(running)).toEqual({ 'second source': 1 });
  });
});

describe('replay', () => {
  test('of a server’s cache is restored; what follows is live', async () => {
    const running = await listen(await startPeer());
    const server = await running.peer.connection(1);
    server.hello(START);
    await until('the subscription', () => server.received.length === 1);
    server.value(VOLTS, 12.4, { atMs: START - 86_400_000 });
    server.value(SWITCH, false, { atMs: START - 7_200_000 });
    server.value(VOLTS, 12.7, { atMs: START + 800 });
    await framesRead(running, 4);
    expect(running.inputs).toEqual([
      { pointId: 'volts', value: 12.4, atMs: START, isRestored: true },
      { pointId: 'isolator', value: 'open', atMs: START, isRestored: true },
      { pointId: 'volts', value: 12.7, atMs: START },
    ]);
  });

  test('after a restart of the server brings nothing fresh, and live values go on', async () => {
    const running = await subscribed();
    running.server.value(VOLTS, 12.6, { atMs: START + 9_900 });
    await framesRead(running, 2);
    running.server.socket.terminate();
    await until('the loss', () => !marine(running).isConnected);
    running.clock.advanceTo(START + 11_000);
    const again = await running.peer.connection(2);
    again.hello(START + 11_000);
    await until('the subscription', () => again.received.length === 1);
    again.value(VOLTS, 12.6, { atMs: START + 9_900 });
    again.value(SWITCH, true, { atMs: START + 10_500 });
    again.value(VOLTS, 12.8, { atMs: START + 11_200 });
    await framesRead(running, 6);
    expect(running.inputs.slice(1)).toEqual([
      { pointId: 'isolator', value: 'closed', atMs: START + 11_000, isRestored: true },
      { pointId: 'volts', value: 12.8, atMs: START + 11_000 },
    ]);
    expect(refused(running)).toMatchObject({ duplicate: 1 });
  });

  test('a source an hour ahead of the time is live once the replay must be over', async () => {
    const running = await listen(await startPeer());
    const server = await running.peer.connection(1);
    server.hello(START);
    await until('the subscription', () => server.received.length === 1);
    server.value(VOLTS, 12.4, { atMs: START + 3_600_000 });
    await framesRead(running, 2);
    running.clock.advanceTo(START + 6_000);
    server.value(VOLTS, 12.5, { atMs: START + 3_606_000 });
    await framesRead(running, 3);
    expect(running.inputs.map((input) => 'isRestored' in input)).toEqual([true, false]);
  });

  test('late and repeated values are counted, not taken', async () => {
    const running = await subscribed();
    const { server } = running;
    server.value(VOLTS, 12.5, { atMs: START + 9_000 });
    server.value(VOLTS, 12.5, { atMs: START + 9_000 });
    server.value(VOLTS, 11.9, { atMs: START + 4_000 });
    server.value(VOLTS, 12.6, { atMs: START + 9_500 });
    await framesRead(running, 5);
    expect(running.of('volts')).toEqual([12.5, 12.6]);
    expect(refused(running)).toEqual({ duplicate: 1, 'older than the last': 1 });
  });
});

describe('frames that are no deltas', () => {
  test('change nothing', async () => {
    const running = await subscribed();
    const frames: unknown[] = [
      '"Only subscribe with instant or fixed policy"',
      '{"updates":[{"values":',
      'no JSON at all',
      '',
      '[]',
      '42',
      'null',
      'true',
      '{}',
      '{"updates":{}}',
      '{"updates":[null,5,{},{"values":5},{"values":[null,{},{"path":5,"value":1}]}]}',
      '{"requestId":"b","state":"COMPLETED","statusCode":200}',
      '{"requestId":"c","state":"FAILED","statusCode":403,"message":"no"}',
      '{"requestId":"d","context":"vessels.self","put":[{"path":"electrical.switches.a.state","value":1}]}',
      '{"context":5,"updates":[]}',
      Buffer.from([0xff, 0xfe, 0x00]),
      '['.repeat(50_000),
    ];
    for (const frame of frames) running.server.raw(frame);
    running.server.value(VOLTS, 12.6, {});
    await framesRead(running, frames.length + 2);
    expect(running.of('volts')).toEqual([12.6]);
    expect(running.peer.connections).toHaveLength(1);
    expect(refused(running)).toEqual({
      'server message': 2,
      'not JSON': 2,
      'empty payload': 1,
      'not a delta': 13,
      'request to switch': 1,
      'other vessel': 1,
      'not UTF-8': 1,
      'too deep': 1,
    });
    expect(marine(running).lastError).toBe('no');
  });

  test('with forbidden paths touch no prototype', async () => {
    const running = await subscribed();
    running.server.raw(
      '{"__proto__":{"x":1},"updates":[{"$source":"__proto__","values":[{"path":"__proto__.polluted","value":1},{"path":"a.constructor.prototype.polluted","value":1}]}]}',
    );
    await framesRead(running, 2);
    expect(refused(running)).toEqual({ 'forbidden path': 2 });
    expect(({} as Record<string, unknown>)['polluted']).toBeUndefined();
  });

  test('with meta only are in order', async () => {
    const running = await subscribed();
    running.server.raw({
      updates: [{ $source: 'shunt.1', meta: [{ path: VOLTS, value: { units: 'V' } }] }],
    });
    await framesRead(running, 2);
    expect(refused(running)).toEqual({});
  });

  test('before the hello are counted', async () => {
    const running = await listen(await startPeer());
    const server = await running.peer.connection(1);
    server.value(VOLTS, 12.6, {});
    await framesRead(running, 1);
    expect(running.inputs).toEqual([]);
    expect(refused(running)).toEqual({ 'before hello': 1 });
  });

  test('above 64 KiB are refused, and far above end the connection, not the client', async () => {
    const running = await subscribed();
    running.server.raw(`"${'x'.repeat(70_000)}"`);
    running.server.value(VOLTS, 12.6, {});
    await until('the reading', () => running.of('volts').length === 1);
    running.server.raw(`"${'x'.repeat(200_000)}"`);
    await until('the end', () => !marine(running).isConnected);
    expect(refused(running)).toEqual({ 'payload too large': 2 });
    running.clock.advanceTo(running.clock.nowMs() + 1_000);
    (await running.peer.connection(2)).hello(START);
    await until('the hello', () => marine(running).isConnected);
  });

  test('cut off in the middle are forgotten', async () => {
    const running = await subscribed();
    running.server.socket.send('{"updates":[{"values":[', { fin: false });
    running.server.socket.terminate();
    await until('the end', () => !marine(running).isConnected);
    expect(running.inputs).toEqual([]);
    expect(running.intake.problems()).toEqual([
      expect.stringMatching(
        /^The open marine data server ws:\S+ cannot be reached: the server hung up/,
      ),
    ]);
  });

  test('3,000 random and mutated frames of seed 4711', async () => {
    const running = await subscribed();
    const delta = `{"context":"vessels.self","updates":[{"$source":"shunt.1","timestamp":"2026-06-01T12:00:09.000Z","values":[{"path":"${VOLTS}","value":12.5}]}]}`;
    const mutated = fc
      .tuple(fc.nat(delta.length), fc.nat(4), fc.string({ unit: 'binary', maxLength: 4 }))
      .map(([at, length, text]) => delta.slice(0, at) + text + delta.slice(at + length));
    const frame = fc.oneof(mutated, fc.json(), fc.string({ unit: 'binary', maxLength: 60 }));
    const frames = fc.sample(frame, { numRuns: 3_000, seed: 4_711 });
    for (const text of frames) running.server.raw(text);
    await framesRead(running, frames.length + 1);
    running.server.value(SWITCH, true, {});
    await until('the last value', () => running.of('isolator').length > 0);
    expect(running.peer.connections).toHaveLength(1);
    for (const volts of running.of('volts')) {
      expect(volts === null || (Number(volts) >= 0 && Number(volts) <= 60)).toBe(true);
    }
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
