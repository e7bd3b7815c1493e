/** Shore power and the buses behind it. */
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
} as const satisfies Record<string, LimitDescription>;
