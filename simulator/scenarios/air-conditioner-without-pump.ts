import type { Ship } from '../ships/ship.ts';
import { after, changeLoads } from './scenario.ts';
import type { Scenario } from './scenario.ts';

/** A warm afternoon after a cool week: every unit is off at its keypad and the pump's breaker open. */
function closedDown(ship: Ship): Ship {
  const loads = changeLoads(ship.loads, (load) =>
    load.kind === 'air conditioner' ? { ...load, isOn: false, celsius: 29 } : load,
  );
  const open = [...ship.positions.open, 'raw-water-pump'];
  return {
    ...ship,
    loads,
    positions: { ...ship.positions, open },
  };
}

export const airConditionerWithoutPump: Scenario = {
  name: 'air-conditioner-without-pump',
  title: 'Air conditioner started without its pump',
  tells:
    'At 15:03 a guest switches on the air conditioner of the guest cabin. The breaker of the ' +
    'cooling water pump is open, so no water flows: after half a minute to a minute of compressor ' +
    'the high-pressure cut-out opens; the fan goes on, and the compressor tries again when it has ' +
    'cooled down. At 15:13 somebody closes the breaker of the pump, the pump starts at once, and ' +
    'from then on the unit runs as it should.',
  boatName: 'Sable Plover',
  startsAt: '15:00',
  minutes: 22,
  crew: 'away',
  settleMinutes: 20,
  setUp: closedDown,
  script: [
    after('3:00', { do: 'load', circuit: 'guest-air', command: { turn: 'on' } }),
    after('13:00', { do: 'move switch', part: 'raw-water-pump', to: 'closed' }),
  ],
};
