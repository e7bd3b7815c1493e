/** Shore power lost and back, and the buses behind it. */
import { limit } from './limit.ts';
import type { LimitDescription } from './limit.ts';

export const SHORE_LIMITS = {
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
  shoreBackChargerMinutes: limit(
    10,
    0,
    240,
    'min',
    'With a measured charger that does not draw, shore power counts as back only after so long in band.',
  ),
  shoreTrippedOnReturnSeconds: limit(
    60,
    1,
    600,
    's',
    'Shore power lost again so soon after it came back has tripped on what started together.',
  ),
  underWayShoreMinutes: limit(
    30,
    1,
    1440,
    'min',
    'Under way a loss of shore power is told only where the inlet has fed the boat for longer than this since.',
  ),
  shoreInferredSeconds: limit(
    20,
    5,
    600,
    's',
    'The bank must discharge so long, from the moment the AC sensors fell silent, before shore power is called lost by that alone.',
  ),
  shoreInferredLateSeconds: limit(
    120,
    30,
    1800,
    's',
    'The same where AC volts stand still to the last digit, or the bank turned at another moment; and how long all that an inlet fed must read dead while its own sensor hangs.',
  ),
  shoreFlatReadings: limit(
    20,
    5,
    1000,
    'readings',
    'AC volts that have been the same to the last digit for so many readings stand still; a live supply never does.',
  ),
  bankDischargeAmps: limit(
    1,
    0.1,
    100,
    'A',
    "A bank that delivers more than this discharges; less may be the shunt's own error.",
  ),
  blinksPerDay: limit(
    3,
    1,
    100,
    'blinks',
    'So many short losses of shore power within 24 hours are told, together.',
  ),
  blinkMinutes: limit(5, 0.1, 60, 'min', 'A loss of shore power no longer than this is a blink.'),
} as const satisfies Record<string, LimitDescription>;
