/** Nominal volts of the parts of a boat. */
import type { Boat, Part } from '../boat/boat.ts';

/** Nominal volts of a part's legs; a battery may have a voltage of its own. */
export function nominalVolts(boat: Boat, system: 'ac' | 'dc', ofBattery?: number): number {
  if (system === 'dc') return ofBattery ?? boat.dc?.volts ?? 12;
  return boat.ac?.volts ?? 230;
}

export const batteryVolts = (part: Part | undefined): number | undefined =>
  part?.part === 'battery' ? part.volts : undefined;
