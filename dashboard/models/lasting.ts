/** Until when a battery lasts, as a range. Pure. */
import type { BatteryState } from '../../daemon/api/contract.ts';

const HOUR_MS = 3_600_000;
/** The rules end their forecast here. */
const LONGEST_HOURS = 240;

export interface Lasting {
  fromMs: number;
  /** Null: longer than anybody would say. */
  toMs: number | null;
}

/** The instants between which it reaches its floor; null where that is not known. */
export function lastingOf(
  { hoursLeft }: Pick<BatteryState, 'hoursLeft'>,
  nowMs: number,
): Lasting | null {
  if (hoursLeft === null) return null;
  const { low, high } = hoursLeft;
  return {
    fromMs: nowMs + low * HOUR_MS,
    toMs: high >= LONGEST_HOURS ? null : nowMs + high * HOUR_MS,
  };
}
