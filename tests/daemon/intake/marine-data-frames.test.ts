/** Frames that an open marine data server should never send, and some do. */
import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { until } from './gathering.ts';
import {
  START,
  SWITCH,
  VOLTS,
  framesRead,
  listen,
  marine,
  refused,
  subscribed,
} from './marine-data-listening.ts';
import { startPeer } from './marine-data-peer.ts';

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
