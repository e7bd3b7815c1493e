/** A diesel set's fuel as a straight line over its load: so much idling, so much for each kilowatt. */
import { isNotNegative } from './numbers.ts';

export interface FuelLine {
  litresPerHourIdle: number;
  litresPerKilowattHour: number;
}

/** Fitted to a published chart of 20 kW sets; another chart is 30 % higher. Measure your own. */
export const FUEL_LINE_20_KW: FuelLine = {
  litresPerHourIdle: 0.946,
  litresPerKilowattHour: 0.2574,
};

/** Litres an hour at a load in watts, 0 and up. Null on bad input. */
export function fuelLitresPerHour(line: FuelLine, watts: number): number | null {
  const litres = line.litresPerHourIdle + (line.litresPerKilowattHour * watts) / 1000;
  return isNotNegative(watts) && isNotNegative(litres) ? litres : null;
}

/**
 * The line of least squares through measured points. Null for fewer than two different loads or a
 * number that is not finite.
 */
export function fuelLineThrough(
  points: readonly { watts: number; litresPerHour: number }[],
): FuelLine | null {
  const mean = (of: (point: (typeof points)[number]) => number): number =>
    points.reduce((sum, point) => sum + of(point), 0) / points.length;
  const kilowatts = mean((point) => point.watts / 1000);
  const litres = mean((point) => point.litresPerHour);
  const spread = mean((point) => (point.watts / 1000 - kilowatts) ** 2);
  const together = mean(
    (point) => (point.watts / 1000 - kilowatts) * (point.litresPerHour - litres),
  );
  const slope = together / spread;
  if (!Number.isFinite(slope)) return null;
  return { litresPerHourIdle: litres - slope * kilowatts, litresPerKilowattHour: slope };
}
