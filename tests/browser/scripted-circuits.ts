/** The circuits of the scripted panel: drawing, resting, stale and never heard. */
import type { CircuitState, Known } from '../../daemon/api/contract.ts';
import { measured, share, stale, unknown } from './scripted-known.ts';

const MINUTE_MS = 60_000;

type CircuitSketch = [
  id: string,
  label: string,
  position: string,
  bus: string,
  legs: string[],
  ampsRated: number,
  amps: Known,
  sinceMinutes: number | null,
];

const SKETCHES: CircuitSketch[] = [
  ['raw-water-pump', 'Cooling water pump', 'C-1', 'climate-bus', ['L2'], 15, measured(3.2), 44],
  ['saloon-air', 'Air conditioner, saloon', 'C-2', 'climate-bus', ['L1'], 20, measured(11.6), 12],
  [
    'owner-air',
    'Air conditioner, owner’s cabin',
    'C-3',
    'climate-bus',
    ['L2'],
    20,
    measured(9.7),
    3,
  ],
  [
    'guest-air',
    'Air conditioner, guest cabin',
    'C-4',
    'climate-bus',
    ['L1'],
    15,
    measured(8.1),
    26,
  ],
  ['cooker', 'Cooker', 'C-5', 'climate-bus', ['L1', 'L2'], 30, measured(0), 190],
  ['laundry', 'Washer and dryer', 'C-6', 'climate-bus', ['L1'], 20, measured(11.9), 31],
  ['water-heater', 'Water heater', 'H-1', 'house-bus', ['L1'], 20, measured(0.1), 8],
  ['battery-charger', 'Battery charger', 'H-2', 'house-bus', ['L2'], 20, stale(5.2, 42_000), null],
  ['galley-outlets', 'Galley outlets', 'H-3', 'house-bus', ['L1'], 20, measured(10.7), 2],
  ['saloon-outlets', 'Saloon outlets', 'H-4', 'house-bus', ['L2'], 15, unknown(), null],
  ['refrigerator', 'Refrigerator', 'H-5', 'house-bus', ['L2'], 15, measured(2.2), 6],
  ['bilge-pump', 'Bilge pump, aft', 'D-1', 'dc-bus', ['DC'], 15, measured(0), 640],
  ['cabin-lights', 'Cabin lights', 'D-3', 'dc-bus', ['DC'], 20, unknown(), null],
];

const EXTRAS: Record<string, Partial<CircuitState>> = {
  'raw-water-pump': { note: 'Feeds all three air conditioners. Strainer under the saloon steps.' },
  'saloon-air': { requires: ['raw-water-pump'] },
  'owner-air': { requires: ['raw-water-pump'] },
  'guest-air': { requires: ['raw-water-pump'] },
  laundry: { excludes: ['water-heater'] },
  'battery-charger': { standingOrder: 'should be on', load: 'charger' },
  refrigerator: { standingOrder: 'should be on' },
};

/** A circuit that has only been watched for an hour or so. */
function habitsOf(activity: CircuitState['activity'], amps: Known): CircuitState['habits'] {
  const dutyRatio = activity === 'unknown' ? null : activity === 'drawing' ? 0.6 : 0;
  const hour = { dutyRatio, coverageRatio: dutyRatio === null ? 0 : 1, starts: dutyRatio ? 3 : 0 };
  return {
    phase: activity === 'drawing' ? 'running' : activity,
    runningAmps: activity === 'drawing' ? amps.value : null,
    startPeakAmps: null,
    lastHour: { ...hour, runMinutes: Math.floor((dutyRatio ?? 0) * 60) },
    lastDay: { ...hour, coverageRatio: 0.04, runMinutes: Math.floor((dutyRatio ?? 0) * 60) },
    lastStartMs: null,
    normal: null,
  };
}

function circuit(sketch: CircuitSketch, atMs: number): CircuitState {
  const [id, label, position, ofBus, legs, ampsRated, amps, sinceMinutes] = sketch;
  const isDc = ofBus === 'dc-bus';
  const activity = amps.value === null ? 'unknown' : amps.value > 0.5 ? 'drawing' : 'not drawing';
  return {
    id,
    label,
    system: isDc ? 'dc' : 'ac',
    position,
    bus: ofBus,
    legs,
    live: 'live',
    activity,
    activeSinceMs: sinceMinutes === null ? null : atMs - sinceMinutes * MINUTE_MS,
    habits: habitsOf(activity, amps),
    amps,
    watts: id === 'cooker' ? measured(0) : unknown(),
    breaker: { ampsRated, kind: isDc ? 'fuse' : 'UL 489' },
    loadRatio: share(amps, ampsRated),
    headroomAmps: amps.value === null ? unknown() : { ...amps, value: ampsRated - amps.value },
    load: 'motor',
    requires: [],
    excludes: [],
    standingOrder: null,
    note: null,
    ...EXTRAS[id],
  };
}

/** All circuits as of one instant. */
export function scriptedCircuits(atMs: number): CircuitState[] {
  return SKETCHES.map((sketch) => circuit(sketch, atMs));
}
