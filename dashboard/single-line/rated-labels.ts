/** Labels as the diagram draws and says them: with what is engraved beside them on the boat. Pure. */
import type { BatteryState, MainSwitchState } from '../../daemon/api/contract.ts';
import { withUnit } from '../format.ts';

/** `HOUSE MAIN, 50 A`; the label alone where it has no breaker. */
export const mainSwitchLabel = ({
  label,
  breaker,
}: Pick<MainSwitchState, 'label' | 'breaker'>): string =>
  breaker === null ? label : `${label}, ${withUnit(breaker.ampsRated, 0, 'A')}`;

/** `House bank, 12 V`. */
export const batteryLabel = ({
  label,
  voltsNominal,
}: Pick<BatteryState, 'label' | 'voltsNominal'>): string =>
  `${label}, ${withUnit(voltsNominal, 0, 'V')}`;
