import type { Scenario } from './scenario.ts';

export const quietDay: Scenario = {
  name: 'quiet-day',
  title: 'A quiet day on shore power',
  tells:
    'Midnight to midnight on the bow inlet. The air conditioners cycle with their pump, the water ' +
    'heater and the charger come and go, two people cook, wash and watch television. Nothing is ' +
    'beyond its rating, and nothing stays above 80 % of it for three hours.',
  boatName: 'Sable Plover',
  startsAt: '00:00',
  minutes: 24 * 60,
  crew: 'calm',
  settleMinutes: 60,
  script: [],
};
