/** What a discharge counts for against the plate's capacity, by chemistry. */
import type { Battery } from '../boat/boat.ts';
import { effectiveAmps } from '../electrical/peukert.ts';

/** Capacity on the plate holds at this rate. */
const RATED_HOURS = 20;

/**
 * Middle of the published ranges: flooded 1.2..1.6, AGM 1.05..1.15, gel 1.1..1.25. The lower part
 * of the wide one, since boats' deep-cycle banks are at that end (common practice). Lithium loses
 * next to nothing.
 */
const EXPONENT: Readonly<Record<Battery['chemistry'], number>> = {
  flooded: 1.25,
  agm: 1.1,
  gel: 1.15,
  lifepo4: 1,
};

/**
 * Amperes that a discharge of `amps` (0 and up) counts for. Above the 20-hour rate it counts for
 * more; below, for what it is: the gain that the law promises there is not relied on.
 */
export function drainCountedAs(
  battery: Pick<Battery, 'chemistry' | 'ampHours'>,
  amps: number,
): number {
  if (amps <= battery.ampHours / RATED_HOURS) return amps;
  return effectiveAmps(battery.ampHours, RATED_HOURS, EXPONENT[battery.chemistry], amps) ?? amps;
}
