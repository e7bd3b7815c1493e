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
    180,
    5,
    86_400,
    's',
    'A sensor that has been stale for so long raises a caution; a bad network loses a minute or two now and then.',
  ),
  allSilentSeconds: limit(
    60,
    5,
    86_400,
    's',
    'Every sensor at once stale for so long: panelward is blind, and says so.',
  ),
  sensorBlindMinutes: limit(
    60,
    1,
    1440,
    'min',
    'A sensor that is silent so long with nobody aboard, or that watches a shore inlet or a bilge pump: warning.',
  ),
  sensorFrozenIntervals: limit(
    20,
    3,
    10_000,
    'expected intervals',
    'A live AC reading that stays the same to the last digit for so long is frozen, if noise is usual for it.',
  ),
  sensorFrozenRatio: limit(
    5,
    1,
    100,
    'of the longest',
    'And for so many times longer than it ever stayed the same while it was well.',
  ),
  sensorFrozenChanges: limit(
    100,
    10,
    100_000,
    'changes',
    'Changes of a live reading after which it is known what noise is usual for it.',
  ),
  sensorLeapRatio: limit(
    50,
    2,
    10_000,
    'of its neighbours',
    'A single reading so many times above the one before and the one after has leapt.',
  ),
  sensorLeaps: limit(3, 1, 100, 'leaps', 'So many leaps within `sensorLeapMinutes`: suspect.'),
  sensorLeapMinutes: limit(10, 1, 1440, 'min', 'See `sensorLeaps`.'),
  contradictionSeconds: limit(
    30,
    0,
    3600,
    's',
    'Readings must contradict each other so long before it is said.',
  ),
} as const satisfies Record<string, LimitDescription>;
