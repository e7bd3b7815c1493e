/** When a sensor counts as stale, silent or contradicting. */
import { limit } from './limit.ts';
import type { LimitDescription } from './limit.ts';

export const SENSORS_LIMITS = {
  staleIntervals: limit(
    3,
    1,
    100,
    'expected intervals',
    'A reading older than so many of its intervals is stale.',
  ),
  staleSeconds: limit(10, 1, 3600, 's', 'A reading is never called stale before this age.'),
  sensorSilentSeconds: limit(
    60,
    5,
    86_400,
    's',
    'A sensor that has been stale for so long raises a caution.',
  ),
  contradictionSeconds: limit(
    30,
    0,
    3600,
    's',
    'Readings must contradict each other so long before it is said.',
  ),
} as const satisfies Record<string, LimitDescription>;
