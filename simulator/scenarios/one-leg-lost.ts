import { after } from './scenario.ts';
import type { Scenario } from './scenario.ts';

export const oneLegLost: Scenario = {
  name: 'one-leg-lost',
  title: 'One leg of shore power lost',
  tells:
    'On shore power in the afternoon. At 14:05 one pole at the pedestal fails: L1 is dead at the ' +
    'inlet and on both buses, L2 goes on as before with the pump and the air conditioner of the ' +
    'owner’s cabin. At 14:15 L1 is back.',
  boatName: 'Sable Plover',
  startsAt: '14:00',
  minutes: 24,
  crew: 'away',
  settleMinutes: 60,
  script: [
    after('5:00', { do: 'pedestal', inlet: 'bow-inlet', leg: 'L1', power: 'off' }),
    after('15:00', { do: 'pedestal', inlet: 'bow-inlet', leg: 'L1', power: 'on' }),
  ],
};
