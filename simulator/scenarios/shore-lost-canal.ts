import { after } from './scenario.ts';
import type { Scenario } from './scenario.ts';

export const shoreLostCanal: Scenario = {
  name: 'shore-lost-canal',
  title: 'Shore power lost on the canal',
  tells:
    'Late evening, SUPPLY at SHORE. At 23:34 the bollard goes dead; both buses die, the bank carries ' +
    'lights and pumps. At 23:49 the bollard is back at its usual volts and the charger charges.',
  boatName: 'Willow Dipper',
  startsAt: '23:30',
  minutes: 30,
  crew: 'calm',
  settleMinutes: 60,
  script: [
    after('4:00', { do: 'pedestal', inlet: 'shore', power: 'off' }),
    after('19:00', { do: 'pedestal', inlet: 'shore', power: 'on' }),
  ],
};
