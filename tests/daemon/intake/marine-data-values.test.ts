/** Values of open marine data: whose, from which source, old or new. */
import { describe, expect, test } from 'vitest';
import { until } from './gathering.ts';
import {
  AMPS,
  CHARGE,
  START,
  SWITCH,
  VOLTS,
  framesRead,
  listen,
  marine,
  refused,
  subscribed,
} from './marine-data-listening.ts';
import { SELF, startPeer } from './marine-data-peer.ts';

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
    expect(marine(running).repeated).toBe(1);
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

  test('late values are refused and repeated ones counted apart; neither is taken', async () => {
    const running = await subscribed();
    const { server } = running;
    server.value(VOLTS, 12.5, { atMs: START + 9_000 });
    server.value(VOLTS, 12.5, { atMs: START + 9_000 });
    server.value(VOLTS, 11.9, { atMs: START + 4_000 });
    server.value(VOLTS, 12.6, { atMs: START + 9_500 });
    await framesRead(running, 5);
    expect(running.of('volts')).toEqual([12.5, 12.6]);
    expect(refused(running)).toEqual({ 'older than the last': 1 });
    expect(marine(running).repeated).toBe(1);
  });
});
