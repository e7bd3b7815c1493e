/**
 * The catalogue: every rule there is. Causes stand before what follows from them, since a cause
 * that stands may explain a later one.
 */
import type { CatalogueRule } from './catalogue-rule.ts';
import { plain } from './catalogue-rule.ts';
import { contradiction } from './contradiction.ts';
import { deadBus } from './dead-bus.ts';
import { idleGenerator } from './idle-generator.ts';
import { missingPrerequisite } from './missing-prerequisite.ts';
import { overload } from './overload.ts';
import { pumps } from './pumps.ts';
import { sensorSilent } from './sensor-silent.ts';
import { shorePowerLost } from './shore-power-lost.ts';

export const CATALOGUE: readonly CatalogueRule[] = [
  plain('shore-power-lost', shorePowerLost),
  plain('dead-bus', deadBus),
  plain('overload', overload),
  plain('missing-prerequisite', missingPrerequisite),
  plain('idle-generator', idleGenerator),
  pumps,
  plain('sensor-silent', sensorSilent),
  plain('contradiction', contradiction),
];
