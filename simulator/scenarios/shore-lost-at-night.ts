import { after } from './scenario.ts';
import type { Scenario } from './scenario.ts';

export const shoreLostAtNight: Scenario = {
  name: 'shore-lost-at-night',
  title: 'Shore power lost at night',
  tells:
    'At 02:14 the pedestal goes dead on both legs; everybody sleeps and no switch is touched. Both ' +
    'AC buses die, the charger stops, the house bank carries lights, network and pumps. At 02:54 ' +
    'the pedestal is back at its usual volts and stays so.',
  boatName: 'Sable Plover',
  startsAt: '02:10',
  minutes: 55,
  crew: 'calm',
  settleMinutes: 60,
  script: [
    after('4:00', { do: 'pedestal', inlet: 'bow-inlet', power: 'off' }),
    after('44:00', { do: 'pedestal', inlet: 'bow-inlet', power: 'on' }),
  ],
};
