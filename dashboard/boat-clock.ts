/**
 * What the boat's clock has to do with UTC. Every instant the page gets and sends is on the daemon's
 * clock, which never steps; only where a time of day is shown or typed in does this come into it.
 */
import { signal } from '@preact/signals';

/** UTC = instant + this, ms; mostly 0. Told by the live stream, because it can change. */
export const utcOffsetMs = signal(0);
