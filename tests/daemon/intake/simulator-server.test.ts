/**
 * Our client against the simulator's server of open marine data: written apart from it, from the
 * published specification, with policies and cache as that has them.
 */
import { expect, test } from 'vitest';
import { startClock } from '../../../daemon/clock.ts';
import { startIntake } from '../../../daemon/intake/intake.ts';
import { startMarineDataServer } from '../../../simulator/marine/marine-data-server.ts';
import { boatWith, marinePoint } from './boat-with-points.ts';
import { gather, started, stopAfterwards, until } from './gathering.ts';
import { SELF } from './marine-data-peer.ts';
import { assertDelta } from './marine-schemas.ts';

const VOLTS = 'electrical.batteries.house.voltage';
const SWITCH = 'electrical.switches.isolator.state';

test('cached values come back restored, changes come live, resends are taken once', async () => {
  const clock = startClock({ speed: 20 });
  const wallMs = (): number => clock.nowMs();
  const server = await startMarineDataServer({ port: 0, self: SELF, meta: [], wallMs, speed: 20 });
  stopAfterwards(() => server.close());
  const say = (path: string, value: unknown, atMs: number): void => {
    const timestamp = new Date(atMs).toISOString();
    const update = { $source: 'shunt.1', timestamp, values: [{ path, value }] };
    const delta = { context: SELF, updates: [update] };
    assertDelta(delta);
    server.publish(JSON.stringify(delta));
  };
  say(VOLTS, 12.1, clock.nowMs() - 60_000);

  const words = new Map([
    ['true', 'closed'],
    ['false', 'open'],
  ]);
  const boat = boatWith([
    marinePoint('volts', VOLTS),
    marinePoint('isolator', SWITCH, { quantity: 'switch', unit: '', words }),
  ]);
  const { inputs, of, ...gathered } = gather();
  const options = { boat, clock, linkClock: startClock(), random: () => 0, ...gathered };
  const marineDataUrl = `ws://127.0.0.1:${server.port}/signalk/v1/stream`;
  const intake = started(await startIntake({ ...options, marineDataUrl }));
  stopAfterwards(() => intake.stop());
  await until('the cached value', () => inputs.length === 1);
  expect(inputs).toEqual([
    { pointId: 'volts', value: 12.1, atMs: expect.any(Number), isRestored: true },
  ]);

  say(VOLTS, 12.6, clock.nowMs());
  for (const isClosed of [true, false, true]) say(SWITCH, isClosed, clock.nowMs());
  await until('every change', () => of('isolator').length === 3 && of('volts').length === 2);
  expect(of('isolator')).toEqual(['closed', 'open', 'closed']);
  expect(inputs.slice(1).every((input) => !('isRestored' in input))).toBe(true);
  // The server resends the last number every second, as the specification's fixed policy has it.
  await until('a resend', () => (intake.health().marineData?.repeated ?? 0) > 0);
  expect(intake.health().refused).toEqual([]);
  expect(of('volts')).toEqual([12.1, 12.6]);
});
