/**
 * Every limit and delay a rule uses, with its default. A boat file overrides them one by one under
 * `limits:`. Starting values to be tuned, never promises; those from a standard say so, the others
 * are common practice.
 */
import { mapRecord } from './records.ts';

export interface LimitDescription {
  default: number;
  min: number;
  max: number;
  unit: string;
  means: string;
}

const limit = (
  value: number,
  min: number,
  max: number,
  unit: string,
  means: string,
): LimitDescription => ({ default: value, min, max, unit, means });

export const LIMITS = {
  liveRatio: limit(0.6, 0.1, 1, 'of nominal volts', 'At or above this a leg is live.'),
  deadRatio: limit(0.5, 0.05, 1, 'of nominal volts', 'Below this a leg is dead.'),
  inBandLowRatio: limit(
    0.9,
    0.5,
    1,
    'of nominal volts',
    'Lowest voltage that counts as good supply (ANSI C84.1 utilization range A, 108 V of 120 V).',
  ),
  inBandHighRatio: limit(
    1.1,
    1,
    1.5,
    'of nominal volts',
    'Highest voltage that counts as good supply (EN 50160, 253 V of 230 V).',
  ),
  drawingAmps: limit(
    0.5,
    0.01,
    50,
    'A',
    'Above this a circuit or feeder counts as drawing current; below it may be sensor noise.',
  ),
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
  prerequisiteSeconds: limit(
    20,
    0,
    3600,
    's',
    'A circuit may run so long without the circuit it requires.',
  ),
  prerequisiteClearSeconds: limit(10, 0, 3600, 's', 'Off-delay of the missing prerequisite.'),
  idleGeneratorMinutes: limit(
    5,
    0.5,
    240,
    'min',
    'A generator may run so long with nothing connected.',
  ),
  idleGeneratorClearSeconds: limit(10, 0, 3600, 's', 'Off-delay of the idle generator.'),
  shoreLostSeconds: limit(
    3,
    0,
    600,
    's',
    'Shore power must be gone so long before it is called lost.',
  ),
  shoreBackSeconds: limit(
    120,
    0,
    3600,
    's',
    'Shore power must be in band so long before it is called back.',
  ),
  busDeadSeconds: limit(
    30,
    0,
    600,
    's',
    'A bus may be without voltage so long behind a live source; a change-over rides through.',
  ),
  runningRatio: limit(
    0.4,
    0.05,
    1,
    'of running current',
    'Above this share of its stated running current a load runs; below, it only idles (a fan, say).',
  ),
  contradictionSeconds: limit(
    30,
    0,
    3600,
    's',
    'Readings must contradict each other so long before it is said.',
  ),
} as const satisfies Record<string, LimitDescription>;

export type LimitName = keyof typeof LIMITS;

/** The defaults as plain numbers, overridden by `given`. */
export function limitsWith(
  given: Partial<Record<LimitName, number>> = {},
): Readonly<Record<LimitName, number>> {
  const defaults = mapRecord<LimitName, LimitDescription, number>(LIMITS, (own) => own.default);
  return { ...defaults, ...given };
}
