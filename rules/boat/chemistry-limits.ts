/** The limits of one bank: those of its chemistry, with volts scaled to its own nominal volts. */
import type { Battery, Boat } from './boat.ts';

export interface ChemistryLimits {
  isLithium: boolean;
  /** 0..1 */
  floorRatio: number;
  reserveRatio: number;
  /** Volts of this bank. */
  lowVolts: number;
  veryLowVolts: number;
  emptyVolts: number;
  chargerOffVolts: number;
  overchargeVolts: number;
  equaliseVolts: number;
  fullVolts: number;
  floatVolts: number;
  clearVolts: number;
  overchargeClearVolts: number;
  hotCelsius: number;
}

export function chemistryLimits(
  { limits }: Pick<Boat, 'limits'>,
  battery: Pick<Battery, 'chemistry' | 'volts'>,
): ChemistryLimits {
  const isLithium = battery.chemistry === 'lifepo4';
  const pick = (lead: number, lithium: number): number => (isLithium ? lithium : lead);
  const volts = (lead: number, lithium: number = lead): number =>
    // To the millivolt, so that 14.7 V of a 12 V bank are 29.4 V of a 24 V bank and not a shade less.
    Math.round((pick(lead, lithium) * battery.volts * 1000) / 12) / 1000;
  return {
    isLithium,
    floorRatio: pick(limits.leadFloorRatio, limits.lithiumFloorRatio),
    reserveRatio: pick(limits.leadReserveRatio, limits.lithiumReserveRatio),
    lowVolts: volts(limits.leadLowVolts, limits.lithiumLowVolts),
    veryLowVolts: volts(limits.leadVeryLowVolts, limits.lithiumVeryLowVolts),
    emptyVolts: volts(limits.leadEmptyVolts, limits.lithiumEmptyVolts),
    chargerOffVolts: volts(limits.leadChargerOffVolts, limits.lithiumChargerOffVolts),
    overchargeVolts: volts(limits.leadOverchargeVolts, limits.lithiumOverchargeVolts),
    // A lithium bank is never equalised.
    equaliseVolts: volts(limits.leadEqualiseVolts, limits.lithiumOverchargeVolts),
    fullVolts: volts(limits.leadFullVolts, limits.lithiumFullVolts),
    floatVolts: volts(limits.leadFloatVolts, limits.lithiumFloatVolts),
    clearVolts: volts(limits.batteryClearVolts),
    overchargeClearVolts: volts(limits.overchargeClearVolts),
    hotCelsius: pick(limits.leadHotCelsius, limits.lithiumHotCelsius),
  };
}
