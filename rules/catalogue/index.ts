/**
 * The catalogue: every rule there is. Causes stand before what follows from them, since a cause
 * that stands may explain a later one.
 */
import { bankWorn } from './bank-worn.ts';
import { batteryLow } from './battery-low.ts';
import { batteryTemperature } from './battery-temperature.ts';
import type { CatalogueRule } from './catalogue-rule.ts';
import { plain } from './catalogue-rule.ts';
import { changedUnderLoad } from './changed-under-load.ts';
import { chargerOff } from './charger-off.ts';
import { CIRCUIT_RULES } from './circuit-rules.ts';
import { contradiction } from './contradiction.ts';
import { deadBus } from './dead-bus.ts';
import { generatorForgotten } from './generator-forgotten.ts';
import { generatorNotStarting } from './generator-not-starting.ts';
import { generatorLoadedCold } from './generator-loaded-cold.ts';
import { generatorOutOfClass } from './generator-out-of-class.ts';
import { generatorStoppedHot } from './generator-stopped-hot.ts';
import { generatorUnderloaded } from './generator-underloaded.ts';
import { idleGenerator } from './idle-generator.ts';
import { inverterHeavyLoad } from './inverter-heavy-load.ts';
import { notFull } from './not-full.ts';
import { overcharge } from './overcharge.ts';
import { ownAccess } from './own-access.ts';
import { ownHealth } from './own-health.ts';
import { ownLinks } from './own-links.ts';
import { pumps } from './pumps.ts';
import { quietDrain } from './quiet-drain.ts';
import { sensorFrozen } from './sensor-frozen.ts';
import { sensorLeaping } from './sensor-leaping.ts';
import { sensorSilent } from './sensor-silent.ts';
import { connectionFlickers } from './connection-flickers.ts';
import { connectionGoingBad } from './connection-going-bad.ts';
import { highVoltage } from './high-voltage.ts';
import { looseNeutral } from './loose-neutral.ts';
import { lowVoltage } from './low-voltage.ts';
import { shoreBlinks } from './shore-blinks.ts';
import { shoreFrequency } from './shore-frequency.ts';
import { shoreKind } from './shore-kind.ts';
import { unusedInletLive } from './unused-inlet-live.ts';
import { weakSupply } from './weak-supply.ts';
import { shorePowerLost } from './shore-power-lost.ts';
import { sourcesFighting } from './sources-fighting.ts';

export const CATALOGUE: readonly CatalogueRule[] = [
  unusedInletLive,
  looseNeutral,
  shorePowerLost,
  weakSupply,
  plain('dead-bus', deadBus),
  plain('sources-fighting', sourcesFighting),
  connectionGoingBad,
  connectionFlickers,
  lowVoltage,
  highVoltage,
  plain('shore-frequency', shoreFrequency),
  shoreKind,
  shoreBlinks,
  ...CIRCUIT_RULES,
  plain('idle-generator', idleGenerator),
  generatorForgotten,
  generatorUnderloaded,
  generatorOutOfClass,
  generatorStoppedHot,
  generatorLoadedCold,
  generatorNotStarting,
  changedUnderLoad,
  plain('inverter-heavy-load', inverterHeavyLoad),
  plain('battery-low', batteryLow),
  chargerOff,
  plain('overcharge', overcharge),
  plain('battery-temperature', batteryTemperature),
  plain('not-full', notFull),
  plain('bank-worn', bankWorn),
  quietDrain,
  pumps,
  plain('own-health', ownHealth),
  plain('own-links', ownLinks),
  plain('own-access', ownAccess),
  plain('sensor-silent', sensorSilent),
  sensorFrozen,
  sensorLeaping,
  plain('contradiction', contradiction),
];
