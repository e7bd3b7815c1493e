import { after } from './scenario.ts';
import type { Scenario } from './scenario.ts';

export const sensorSilent: Scenario = {
  name: 'sensor-silent',
  title: 'House panel sensor silent',
  tells:
    'An ordinary forenoon on shore power. At 10:04 the publisher of the house panel loses its ' +
    'network and says nothing for ten minutes; at the panel itself nothing happens. At 10:14 it ' +
    'speaks again.',
  boatName: 'Sable Plover',
  startsAt: '10:00',
  minutes: 22,
  crew: 'calm',
  settleMinutes: 60,
  script: [
    after('4:00', { do: 'sensor', publisher: 'panel/house', fault: 'silent' }),
    after('14:00', { do: 'sensor', publisher: 'panel/house', fault: 'well' }),
  ],
};
