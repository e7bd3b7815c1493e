/** What counts as live, as drawing, as running, as a good supply. */
import { limit } from './limit.ts';
import type { LimitDescription } from './limit.ts';

export const PANEL_LIMITS = {
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
  runningRatio: limit(
    0.4,
    0.05,
    1,
    'of running current',
    'Above this share of its stated running current a load runs; below, it only idles (a fan, say).',
  ),
} as const satisfies Record<string, LimitDescription>;
