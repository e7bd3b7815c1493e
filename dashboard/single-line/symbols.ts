/**
 * Symbols of the single-line diagram as path data, after the general forms of IEC 60617: a circle
 * with a letter for a machine, a battery's long and short plates, the contact of a switch, the
 * cross of a circuit breaker. Drawn here, each in a square of 36 about its middle.
 */
import type { PartKind } from './wiring.ts';

/** What stands in the circle or square of a source; a converter has none, its signs are lines. */
export const LETTERS: Partial<Record<PartKind, string>> = { generator: 'G', alternator: 'G' };

const CIRCLE = 'M0-17A17 17 0 1 1 0 17A17 17 0 1 1 0-17Z';
const SQUARE = 'M-17-17H17V17H-17Z';
const TILDE = 'M-6 10q3-5 6 0t6 0';

export const SOURCES: Partial<Record<PartKind, string>> = {
  // A plug's pin in its socket.
  'shore inlet': 'M-13 4A13 13 0 0 1 13 4M0-9V18M-4 -18H4V-9H-4Z',
  generator: `${CIRCLE}${TILDE}`,
  alternator: `${CIRCLE}M-6 9H6M-6 12h3M-1.5 12h3M3 12h3`,
  // Direct current in, alternating current out.
  inverter: `${SQUARE}M-17 17 17-17M-12-10H-2M-12-6h3M-7-6h3M-2 10q3-5 6 0t6 0`,
  // Two arrows of light onto a cell.
  solar: `${SQUARE}M-6 2H6M-3 7H3M0-6V2M0 7V17M-13-13l6 6M-7-7l-1-4M-7-7l-4-1M-7-14l6 6M-1-8l-1-4M-1-8l-4-1`,
  battery: 'M0-18V-7M-14-7H14M-7-1H7M-14 5H14M-7 11H7M0 11V18',
};

export type ContactState = 'closed' | 'open' | 'tripped' | 'unknown';

/** The two terminals of a contact, so that a closed one is told from a plain wire. */
const ENDS = 'M0-12A3 3 0 1 1 0-6A3 3 0 1 1 0-12ZM0 6A3 3 0 1 1 0 12A3 3 0 1 1 0 6Z';

/** A main switch from top to bottom, 36 high. */
export const UPRIGHT: Record<ContactState, { frame: string; blade: string }> = {
  closed: { frame: `M0-18V-12M0 12V18${ENDS}`, blade: 'M-3-9V9' },
  open: { frame: `M0-18V-12M0 12V18${ENDS}`, blade: 'M-1 6-12-8' },
  tripped: { frame: `M0-18V-12M0 12V18${ENDS}M5-4l8 8M13-4l-8 8`, blade: 'M-1 6-12-8' },
  unknown: { frame: `M0-18V-12M0 12V18${ENDS}`, blade: 'M-1 6-12-8M0-6V6' },
};

/** A circuit's own breaker from left to right, 36 wide, the cross on its fixed contact. */
export const LEVEL: Record<'closed' | 'unknown', { frame: string; blade: string }> = {
  closed: { frame: 'M-18 0H-9M-12-3 -6 3M-6-3-12 3M9 0H18', blade: 'M-9 0H9' },
  unknown: { frame: 'M-18 0H-9M-12-3 -6 3M-6-3-12 3M9 0H18', blade: 'M9 0-7-8' },
};
