/** Points in the order in which a person wants to see them: trouble first. Pure. */
import type { PointState } from '../../daemon/api/contract.ts';
import { DASH, fixed, shownAs, withUnit, type ElectricalSystem } from '../format.ts';

const TROUBLE = { never: 0, stale: 1, restored: 2, fresh: 3 } as const;

/** Never heard, then silent, then only restored, then fresh; within each the order of the boat file. */
export function troubleFirst(points: readonly PointState[]): PointState[] {
  return [...points].sort((a, b) => TROUBLE[a.freshness] - TROUBLE[b.freshness]);
}

export function freshCount(points: readonly PointState[]): number {
  return points.filter(({ freshness }) => freshness === 'fresh').length;
}

/** The last value of a point as text; a dash where there never was one. */
export function pointText(point: PointState, system: ElectricalSystem): string {
  if (point.value === null) return DASH;
  if (typeof point.value === 'string') return point.value;
  const { unit, scale, decimals } = shownAs(point.quantity, system);
  const value = point.value * scale;
  return unit === '' ? fixed(value, decimals) : withUnit(value, decimals, unit);
}
