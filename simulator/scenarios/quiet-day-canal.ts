import type { Scenario } from './scenario.ts';

export const quietDayCanal: Scenario = {
  name: 'quiet-day-canal',
  title: 'A quiet day on the canal',
  tells:
    'Midnight to midnight at the mooring. The shore bus is on shore power all day; the galley bus is ' +
    'on shore power by night and from 08:46 to 18:00 on the inverter, while the roof panels and the ' +
    'charger keep the bank up. The immersion heater runs before noon. Nothing is beyond its rating.',
  boatName: 'Willow Dipper',
  startsAt: '00:00',
  minutes: 24 * 60,
  crew: 'calm',
  settleMinutes: 60,
  script: [],
};
