/**
 * Days on which somebody changes sources every twenty minutes or so, so that telling what feeds what
 * is put to the test: both inlets live, both generators, main switches opened, sensors on a bad network.
 */
import { after } from '../../simulator/scenarios/scenario.ts';
import { createRandom } from '../../simulator/random.ts';
import type { Random } from '../../simulator/random.ts';
import type { TimedAction, VesselAction } from '../../simulator/action.ts';
import { HARSH_SENSORS } from '../../simulator/sensors/sensor-faults.ts';
import { sablePlover, shipFor } from '../simulator/demo-boats.ts';
import { turn } from './cases/at-the-dock.ts';
import { PositionJudge } from './positions.ts';
import type { PositionScore } from './positions.ts';
import { runFast } from './run-fast.ts';

type Supply = 'bow' | 'stern' | 'large' | 'house on small' | 'off';
const SUPPLIES: readonly Supply[] = ['bow', 'stern', 'large', 'house on small', 'off'];

const WAYS: Readonly<Record<Supply, readonly VesselAction[]>> = {
  bow: [turn('shore-selector', 'BOW'), turn('supply-selector', 'SHORE')],
  stern: [turn('shore-selector', 'STERN'), turn('supply-selector', 'SHORE')],
  large: [turn('supply-selector', 'GENERATOR')],
  'house on small': [turn('house-selector', 'SMALL GENERATOR')],
  off: [turn('supply-selector', 'OFF')],
};

const RUNS: Partial<Record<Supply, string>> = {
  large: 'large-generator',
  'house on small': 'small-generator',
};

function planOf(random: Random, hours: number): TimedAction[] {
  const plan: TimedAction[] = [];
  let before: Supply = 'bow';
  for (let minute = 8; minute < hours * 60 - 6; minute += random.between(12, 30)) {
    const others = SUPPLIES.filter((supply) => supply !== before);
    const next = others[Math.floor(random.unit() * others.length)] ?? 'bow';
    const at = (minutes: number, action: VesselAction): void => {
      plan.push({ ...after('0:00', action), atMs: Math.round((minute + minutes) * 60) * 1000 });
    };
    const starts = RUNS[next];
    const stops = RUNS[before];
    if (starts !== undefined) at(-3, { do: 'start', source: starts });
    if (before === 'house on small') at(0, turn('house-selector', 'SUPPLY'));
    WAYS[next].forEach((action, step) => at(0.1 * (step + 1), action));
    if (stops !== undefined) at(4, { do: 'stop', source: stops });
    if (random.chance(0.2)) {
      at(5, { do: 'move switch', part: 'climate-main', to: 'open' });
      at(9, { do: 'move switch', part: 'climate-main', to: 'closed' });
    }
    before = next;
  }
  return plan;
}

export function playChanges(seed: number, hours: number): PositionScore {
  const judge = new PositionJudge(`changing sources, seed ${seed}`);
  const ship = shipFor(sablePlover);
  const bow = ship.sources['bow-inlet'];
  if (bow === undefined) throw new Error('no bow inlet');
  const random = createRandom(seed, 'truth', 'changing sources');
  runFast({
    boat: sablePlover,
    ship: { ...ship, sources: { ...ship.sources, 'stern-inlet': bow } },
    scenario: {
      name: 'changing-sources',
      title: '',
      tells: '',
      startsAt: '06:00',
      minutes: hours * 60,
      crew: 'calm',
      settleMinutes: 60,
      script: planOf(random, hours),
    },
    seed,
    faults: HARSH_SENSORS,
    evaluateEveryMs: 1000,
    untilMs: hours * 3_600_000,
    look: ({ atMs, panel, simulation }) => judge.look(atMs, panel, () => simulation.truth()),
  });
  return judge.score;
}
