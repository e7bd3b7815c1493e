/**
 * Names for short and long departures of an AC voltage, by IEEE Std 1159. Published tables differ
 * for undervoltage below 0.8 (taken as undervoltage here) and for a zero lasting over a minute.
 */
import { isNotNegative, isPositive } from './numbers.ts';

export type VoltageEvent =
  | 'none'
  | 'instantaneous sag'
  | 'instantaneous swell'
  | 'momentary sag'
  | 'momentary swell'
  | 'momentary interruption'
  | 'temporary sag'
  | 'temporary swell'
  | 'temporary interruption'
  | 'sustained interruption'
  | 'undervoltage'
  | 'overvoltage';

/**
 * Class of an event: `perUnit` is the RMS voltage that stayed, as a share of nominal (0 and up).
 * Above 0.9 and below 1.1 is `none`.
 *
 * Null: shorter than half a cycle (a transient, not in this table) or bad input. A swell above the
 * table's magnitudes (1.8, 1.4, 1.2) keeps the name of its duration. Source: IEEE Std 1159 table 2.
 */
export function voltageEventOf(
  perUnit: number,
  seconds: number,
  hertz: number,
): VoltageEvent | null {
  if (!isNotNegative(perUnit) || !isNotNegative(seconds) || !isPositive(hertz)) return null;
  const cycles = seconds * hertz;
  if (cycles < 0.5) return null;
  if (perUnit > 0.9 && perUnit < 1.1) return 'none';
  if (perUnit < 0.1) return interruption(seconds);
  const isLow = perUnit <= 0.9;
  if (seconds > 60) return isLow ? 'undervoltage' : 'overvoltage';
  const side = isLow ? 'sag' : 'swell';
  if (seconds > 3) return `temporary ${side}`;
  return cycles > 30 ? `momentary ${side}` : `instantaneous ${side}`;
}

function interruption(seconds: number): VoltageEvent {
  if (seconds > 60) return 'sustained interruption';
  return seconds > 3 ? 'temporary interruption' : 'momentary interruption';
}
