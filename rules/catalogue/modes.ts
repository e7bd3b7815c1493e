/**
 * Sets of modes that rules and their levels speak in; none means all four. The table in `README.md`
 * says what every rule does in every mode and why, and a test holds it to the code.
 */
import type { Mode } from '../alerts/alert.ts';

export const ONLY_AWAY: readonly Mode[] = ['away'];
/** Somebody works on what is switched off, so that it is off says nothing. */
export const NOT_AT_WORK: readonly Mode[] = ['aboard', 'away', 'under way'];
/** Under way there is no shore to speak of. */
export const NOT_UNDER_WAY: readonly Mode[] = ['aboard', 'away', 'work in progress'];
/** At anchor or at the dock, with nobody at work. */
export const AT_REST: readonly Mode[] = ['aboard', 'away'];
/** Somebody is there to choose, and not about to try things out. */
export const IN_USE: readonly Mode[] = ['aboard', 'under way'];
