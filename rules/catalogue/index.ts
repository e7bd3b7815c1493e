/** The catalogue: every rule there is, in no order that matters. */
import { contradiction } from './contradiction.ts';
import { deadBus } from './dead-bus.ts';
import { idleGenerator } from './idle-generator.ts';
import { missingPrerequisite } from './missing-prerequisite.ts';
import { overload } from './overload.ts';
import type { Rule } from './rule.ts';
import { sensorSilent } from './sensor-silent.ts';
import { shorePowerLost } from './shore-power-lost.ts';

export const CATALOGUE: readonly Rule[] = [
  shorePowerLost,
  deadBus,
  overload,
  missingPrerequisite,
  idleGenerator,
  sensorSilent,
  contradiction,
];
