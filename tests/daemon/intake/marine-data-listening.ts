/** Intake with a small boat's open marine data points, listening to a scripted server. */
import { manualClock, type ManualClock } from '../../../daemon/clock.ts';
import { startIntake, type Intake, type IntakeOptions } from '../../../daemon/intake/intake.ts';
import { boatWith, marinePoint } from './boat-with-points.ts';
import { gather, started, stopAfterwards, until, type Gathered } from './gathering.ts';
import { startPeer, type Peer, type PeerConnection } from './marine-data-peer.ts';

export const START = Date.UTC(2026, 5, 1, 12);
export const VOLTS = 'electrical.batteries.house.voltage';
export const CHARGE = 'electrical.batteries.house.capacity.stateOfCharge';
export const SWITCH = 'electrical.switches.isolator.state';
export const AMPS = 'electrical.solar.arch.current';

export const boat = boatWith([
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

export interface Running extends Gathered {
  intake: Intake;
  clock: ManualClock;
  peer: Peer;
}

export async function listen(peer: Peer, over: Partial<IntakeOptions> = {}): Promise<Running> {
  const gathered = gather();
  const clock = manualClock(START);
  const options = { boat, clock, random: () => 0, marineDataUrl: peer.url, ...gathered, ...over };
  const intake = started(await startIntake(options));
  stopAfterwards(() => intake.stop());
  return { intake, clock, peer, ...gathered };
}

type MarineHealth = NonNullable<ReturnType<Intake['health']>['marineData']>;

export const marine = ({ intake }: Running): MarineHealth => {
  const { marineData } = intake.health();
  if (!marineData) throw new Error('no open marine data');
  return marineData;
};
export const refused = ({ intake }: Running): Record<string, number> =>
  Object.fromEntries(intake.health().refused.map(({ reason, count }) => [reason, count]));

/** Lets the client have read everything that was sent: its frame count has to reach this. */
export const framesRead = (running: Running, count: number): Promise<void> =>
  until(`${count} frames`, () => marine(running).frames >= count);

/** Connected, subscribed, and past the first moments in which values count as replayed. */
export async function subscribed(
  over: Partial<IntakeOptions> = {},
): Promise<Running & { server: PeerConnection }> {
  const running = await listen(await startPeer(), over);
  const server = await running.peer.connection(1);
  server.hello(START);
  await until('the subscription', () => server.received.length === 1);
  running.clock.advanceTo(START + 10_000);
  return { ...running, server };
}
