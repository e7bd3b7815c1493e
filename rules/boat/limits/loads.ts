/** Overload and prerequisites of circuits, buses and sources. */
import { limit } from './limit.ts';
import type { LimitDescription } from './limit.ts';

export const LOADS_LIMITS = {
  overloadRatio: limit(1, 0.5, 2, 'of rating', 'Above this for `overloadSeconds`: warning.'),
  overloadSeconds: limit(
    30,
    0,
    3600,
    's',
    'On-delay of the overload warning; starts ride through.',
  ),
  overloadHighRatio: limit(
    1.25,
    0.5,
    5,
    'of rating',
    'Above this for `overloadHighSeconds`: alarm.',
  ),
  overloadHighSeconds: limit(10, 0, 3600, 's', 'On-delay of the overload alarm.'),
  overloadDeadbandRatio: limit(
    0.05,
    0,
    0.5,
    'of rating',
    'Load must fall so far below the limit before an overload clears.',
  ),
  overloadClearSeconds: limit(30, 0, 3600, 's', 'Off-delay of both overload alerts.'),
  continuousRatio: limit(
    0.8,
    0.5,
    1,
    'of rating',
    'Continuous load limit of a breaker or source (NEC 210.20(A)).',
  ),
  continuousHours: limit(3, 0.1, 24, 'h', 'A load held so long is continuous (NEC article 100).'),
  continuousGapSeconds: limit(
    60,
    0,
    3600,
    's',
    'A dip below the continuous limit no longer than this does not start the time anew.',
  ),
  tripWarmthRatio: limit(
    0.85,
    0.3,
    2,
    'of trip',
    'Estimated warmth of a breaker above which an overload is an alarm; 1 is where it trips.',
  ),
  tripWarmthDeadbandRatio: limit(
    0.1,
    0,
    0.5,
    'of trip',
    'The warmth must fall so far below the limit before that alarm is over.',
  ),
  tripWarmthSeconds: limit(30, 0, 3600, 's', 'On-delay of the alarm by warmth.'),
  prerequisiteSeconds: limit(
    20,
    0,
    3600,
    's',
    'A circuit may run so long without the circuit it requires.',
  ),
  prerequisiteClearSeconds: limit(10, 0, 3600, 's', 'Off-delay of the missing prerequisite.'),
  planMarginRatio: limit(
    0.05,
    0,
    0.5,
    'of rating',
    'Kept free where panelward says what can still be switched on.',
  ),
  planStartRatio: limit(
    1.5,
    1,
    4,
    'of rating',
    'A generator or inverter may be brought so high by a starting motor in the same answer.',
  ),
  planMotorStartRatio: limit(
    6,
    1,
    12,
    'of running current',
    'Start of a motor in the same answer, where no higher one was seen.',
  ),
} as const satisfies Record<string, LimitDescription>;
