/** A generator that is cranked: its start bank tells the tries, its voltage the start. */
import { after } from '../../../simulator/scenarios/scenario.ts';
import type { Battery, Boat, Point } from '../../../rules/index.ts';
import type { Ship } from '../../../simulator/ships/ship.ts';
import { neverRaises, raises } from '../truth-case.ts';
import type { TruthCase } from '../truth-case.ts';
import { atAnchor, withoutAir } from './at-the-dock.ts';

const START_BANK: Battery = {
  part: 'battery',
  id: 'start-bank',
  label: 'Start bank',
  system: 'dc',
  legs: ['DC'],
  chemistry: 'flooded',
  volts: 12,
  ampHours: 100,
};

/** Sable Plover with the bank that cranks her large generator, and a voltmeter on it. */
function withStartBank(boat: Boat): Boat {
  const volts = boat.points.get('house-bank-volts');
  if (volts === undefined) throw new Error('no point to take after');
  const point: Point = {
    ...volts,
    id: 'start-bank-volts',
    of: START_BANK.id,
    expectedEveryMs: 1000,
    address: { via: 'mqtt', topic: 'panel/start', pointer: '/v' },
  };
  const sources = boat.sources.map((source) =>
    source.id === 'large-generator' && source.kind === 'generator'
      ? { ...source, startBattery: START_BANK.id }
      : source,
  );
  return {
    ...boat,
    sources,
    batteries: [...boat.batteries, START_BANK],
    parts: new Map([
      ...boat.parts,
      ...sources.map((source) => [source.id, source] as const),
      [START_BANK.id, START_BANK],
    ]),
    points: new Map([...boat.points, [point.id, point]]),
  };
}

function setUp(ship: Ship): Ship {
  const anchored = atAnchor(withoutAir(ship), 0.9);
  const batteries = { ...anchored.batteries, 'start-bank': { stateOfCharge: 0.95, ohms: 0.012 } };
  return { ...anchored, batteries };
}

const cranks = (clock: string, seconds: number) =>
  after(clock, { do: 'crank in vain', source: 'large-generator', seconds });

const base: Pick<TruthCase, 'changeBoat' | 'startsAt' | 'minutes' | 'mode' | 'setUp' | 'belongs'> =
  {
    changeBoat: withStartBank,
    startsAt: '16:00',
    minutes: 15,
    mode: 'aboard',
    setUp,
    belongs: /^(generator-not-starting|shore-power-lost|dead-bus|idle-generator)$/,
  };

export const CRANKING_CASES: readonly TruthCase[] = [
  {
    ...base,
    id: 'T70',
    title: 'The large generator is cranked four times and does not start',
    script: [cranks('3:00', 6), cranks('4:00', 8), cranks('5:00', 8), cranks('6:00', 8)],
    must: [
      neverRaises({ what: 'not after two', rule: /^generator-not-starting/, until: '5:00' }),
      raises({
        what: 'stop cranking, after the third and before the fourth',
        rule: /^generator-not-starting/,
        at: '5:00',
        notBefore: 8,
        within: 50,
        priority: 'warning',
        says: /stop cranking.*sea water inlet.*manual/s,
      }),
      neverRaises({ what: 'told once', rule: /^generator-not-starting/, most: 1 }),
    ],
  },
  {
    ...base,
    id: 'T70b',
    title: 'It starts at the third try, and on another day at once',
    script: [
      cranks('3:00', 6),
      cranks('4:00', 8),
      after('5:00', { do: 'start', source: 'large-generator' }),
      after('8:00', { do: 'stop', source: 'large-generator' }),
      after('10:00', { do: 'start', source: 'large-generator' }),
    ],
    must: [neverRaises({ what: 'nothing is told', rule: /^generator-not-starting/ })],
  },
];
