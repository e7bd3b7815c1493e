import type { Scenario } from './scenario.ts';

export const demo: Scenario = {
  name: 'demo',
  title: 'Day after day, with a lively crew',
  tells:
    'An ordinary day on shore power with more going on than usual: on the trawler the small ' +
    'generator is exercised before noon with the house bus on it, the laundry runs every afternoon, ' +
    'somebody vacuums. Nothing is wrong. It goes on for ever.',
  startsAt: '09:00',
  minutes: 24 * 60,
  crew: 'lively',
  settleMinutes: 60,
  script: [],
};
