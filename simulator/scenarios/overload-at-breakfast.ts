import type { Ship } from '../ships/ship.ts';
import { after, changeLoads } from './scenario.ts';
import type { Scenario } from './scenario.ts';

/** At anchor on a cool morning, the house bus on the small generator, the bank half empty. */
function atAnchor(ship: Ship): Ship {
  const loads = changeLoads(ship.loads, (load) => {
    if (load.kind === 'water heater') return { ...load, celsius: 30 };
    return load.kind === 'air conditioner' ? { ...load, isOn: false } : load;
  });
  const bow = ship.sources['bow-inlet'];
  return {
    ...ship,
    weather: { ...ship.weather, celsiusLow: 15, celsiusHigh: 22 },
    loads,
    sources: bow?.kind === 'pedestal' ? withoutCord(ship.sources, bow) : ship.sources,
    batteries: { 'house-bank': { stateOfCharge: 0.62, ohms: 0.004 } },
    positions: {
      ...ship.positions,
      selectors: { ...ship.positions.selectors, 'house-selector': 'SMALL GENERATOR' },
    },
    running: ['small-generator'],
  };
}

function withoutCord(
  sources: Ship['sources'],
  bow: Extract<Ship['sources'][string], { kind: 'pedestal' }>,
): Ship['sources'] {
  return { ...sources, 'bow-inlet': { ...bow, hasCord: false } };
}

export const overloadAtBreakfast: Scenario = {
  name: 'overload-at-breakfast',
  title: 'Overload at breakfast',
  tells:
    'At anchor, no cord ashore. The small generator (5 kW, 20.8 A a leg) carries the house bus: the ' +
    'water heater on L1, the charger in bulk and the refrigerator on L2, 3 kW or so in all. At ' +
    '07:43 the coffee maker is switched on and at 07:44 the toaster, both on L1: for four minutes ' +
    'that leg carries 24 to 26 A, above its rating but below 125 % of it, while the generator as a ' +
    'whole stays below its kilowatts. The toaster ends at 07:48, the coffee maker at 07:50; nothing ' +
    'trips. The heater goes on alone.',
  boatName: 'Sable Plover',
  startsAt: '07:40',
  minutes: 18,
  crew: 'away',
  settleMinutes: 6,
  setUp: atAnchor,
  script: [use('3:00', 'coffee maker', 420), use('4:00', 'toaster', 240)],
};

function use(clock: string, appliance: string, seconds: number): Scenario['script'][number] {
  const command = { use: appliance, seconds };
  return after(clock, { do: 'load', circuit: 'galley-outlets', command });
}
