/** A contact that flickers under load, and a dock that only its own noise moves. */
import { createRandom } from '../../../simulator/random.ts';
import type { TimedAction } from '../../../simulator/action.ts';
import { after, changeLoads } from '../../../simulator/scenarios/scenario.ts';
import type { Ship } from '../../../simulator/ships/ship.ts';
import { neverRaises, raises } from '../truth-case.ts';
import type { TruthCase } from '../truth-case.ts';
import { INLET, use, withoutAir } from './at-the-dock.ts';

/** Heater and cooker: 26 A on leg L1. */
const LOADED: readonly TimedAction[] = [
  after('12:00', { do: 'move switch', part: 'water-heater', to: 'closed' }),
  after('12:05', use('cooker', 'plates', 18)),
];

/** From the load on, the pin opens and closes every two to five seconds. */
function flickering(): TimedAction[] {
  const random = createRandom(32, 'truth', 'flicker');
  const script: TimedAction[] = [];
  let isOpen = false;
  for (let seconds = 60; seconds < 30 * 60; seconds += random.between(2, 5)) {
    isOpen = !isOpen;
    const ohms = isOpen ? random.between(0.09, 0.15) : 0;
    const own = after('0:00', { do: 'wear pin', inlet: INLET, leg: 'L1', ohms });
    script.push({ ...own, atMs: Math.round(seconds * 1000) });
  }
  return script;
}

function setUp(ship: Ship): Ship {
  const quiet = withoutAir(ship);
  const loads = changeLoads(quiet.loads, (load) =>
    load.kind === 'water heater' ? { ...load, celsius: 20 } : load,
  );
  return {
    ...quiet,
    loads,
    positions: { ...quiet.positions, open: [...quiet.positions.open, 'water-heater'] },
  };
}

const base: Pick<TruthCase, 'startsAt' | 'minutes' | 'mode' | 'setUp' | 'belongs'> = {
  startsAt: '10:00',
  minutes: 31,
  mode: 'aboard',
  setUp,
  belongs: /^(connection-flickers|connection-going-bad|connection-differs|better-choice)$/,
};

export const FLICKER_CASES: readonly TruthCase[] = [
  {
    ...base,
    id: 'N32',
    title: 'A pin of leg L1 opens and closes a little every few seconds',
    script: [...flickering(), ...LOADED].toSorted((a, b) => a.atMs - b.atMs),
    must: [
      raises({
        what: 'told within 10 min of the load, with its leg',
        rule: /^connection-flickers$/,
        at: '12:00',
        within: 600,
        priority: 'warning',
        says: /leg L1/,
      }),
    ],
  },
  {
    ...base,
    id: 'N32b',
    title: 'The same load over a sound pin',
    script: LOADED,
    must: [neverRaises({ what: 'nothing flickers', rule: /^connection-flickers$/ })],
  },
];
