/** Sable Plover's ships for the cases: what each case's boat is like before anything happens. */
import type { VesselAction } from '../../../simulator/action.ts';
import { changeLoads } from '../../../simulator/scenarios/scenario.ts';
import type { Ship } from '../../../simulator/ships/ship.ts';

export const INLET = 'bow-inlet';

/** Every publisher of alternating current on Sable Plover. */
export const AC_PUBLISHERS = [
  'panel/bow',
  'panel/stern',
  'panel/large',
  'panel/small',
  'panel/climate',
  'panel/house',
] as const;
export const ALL_PUBLISHERS = [
  ...AC_PUBLISHERS,
  'panel/bilge/milliamps',
  'shunt.house',
  'solar.arch',
] as const;

/** A mild night with the air conditioners off at their keypads. */
export function withoutAir(ship: Ship): Ship {
  const loads = changeLoads(ship.loads, (load) =>
    load.kind === 'air conditioner' ? { ...load, isOn: false } : load,
  );
  return { ...ship, loads, weather: { ...ship.weather, celsiusLow: 15, celsiusHigh: 22 } };
}

/** The boats beside her take nothing, so that the dock's volts move only with her own load. */
export function withoutNeighbours(ship: Ship): Ship {
  return withPedestal(ship, { neighboursVolts: 0 });
}

type Pedestal = Extract<Ship['sources'][string], { kind: 'pedestal' }>;

export function withPedestal(ship: Ship, change: Partial<Pedestal>): Ship {
  const bow = ship.sources[INLET];
  if (bow?.kind !== 'pedestal') throw new Error('no pedestal');
  return { ...ship, sources: { ...ship.sources, [INLET]: { ...bow, ...change } } };
}

/** At anchor: no cord, nothing selected, the bank as full as it is. */
export function atAnchor(ship: Ship, stateOfCharge = 0.95): Ship {
  return {
    ...withPedestal(ship, { hasCord: false }),
    batteries: { 'house-bank': { stateOfCharge, ohms: 0.004 } },
    positions: {
      ...ship.positions,
      selectors: { ...ship.positions.selectors, 'supply-selector': 'OFF' },
    },
  };
}

/** The same with a generator that carries the house bus, or everything. */
export function onGenerator(ship: Ship, which: 'small-generator' | 'large-generator'): Ship {
  const anchored = atAnchor(ship, 0.7);
  const selectors =
    which === 'small-generator'
      ? { ...anchored.positions.selectors, 'house-selector': 'SMALL GENERATOR' }
      : { ...anchored.positions.selectors, 'supply-selector': 'GENERATOR' };
  return { ...anchored, positions: { ...anchored.positions, selectors }, running: [which] };
}

export const use = (circuit: string, appliance: string, minutes: number): VesselAction => ({
  do: 'load',
  circuit,
  command: { use: appliance, seconds: minutes * 60 },
});

export const turn = (selector: string, to: string): VesselAction => ({
  do: 'turn selector',
  selector,
  to,
});
