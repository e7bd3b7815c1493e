/** Generators and inverters. */
import { limit } from './limit.ts';
import type { LimitDescription } from './limit.ts';

export const SOURCES_LIMITS = {
  idleGeneratorMinutes: limit(
    5,
    0.5,
    240,
    'min',
    'A generator may run so long with nothing connected.',
  ),
  idleGeneratorClearSeconds: limit(10, 0, 3600, 's', 'Off-delay of the idle generator.'),
} as const satisfies Record<string, LimitDescription>;
