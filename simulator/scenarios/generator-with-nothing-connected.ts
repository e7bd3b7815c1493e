import { after } from './scenario.ts';
import type { Scenario } from './scenario.ts';

export const generatorWithNothingConnected: Scenario = {
  name: 'generator-with-nothing-connected',
  title: 'Generator running with nothing connected',
  tells:
    'The boat is on shore power and stays there: SUPPLY at SHORE, HOUSE at SUPPLY. At 10:03 the ' +
    'large generator is started; it runs at its no-load speed and volts and feeds nothing, because ' +
    'SUPPLY is not at GENERATOR. At 10:15 it is stopped.',
  boatName: 'Sable Plover',
  startsAt: '10:00',
  minutes: 22,
  crew: 'away',
  settleMinutes: 60,
  script: [
    after('3:00', { do: 'start', source: 'large-generator' }),
    after('15:00', { do: 'stop', source: 'large-generator' }),
  ],
};
