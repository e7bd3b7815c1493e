/**
 * Which signed beats are let in: neither one that came before nor an old one that somebody kept.
 * Order is (boot, sequence), which needs no clock; where the boat's clock is vouched for, the
 * instant counts too, and lets a boat in whose record has begun anew.
 */
import type { Beat, Heard } from './beat.ts';

/** How far her clock and ours may be apart, the way of the beat included. */
export const FRESH_MS = 5 * 60_000;

/** Null where the beat is let in, else a whole sentence for whoever looks at the boat's health. */
export function objectionTo(beat: Beat, last: Heard | null, nowMs: number): string | null {
  const isVouchedFor = beat.clock !== 'unverified';
  const awayMs = beat.sentAtMs - nowMs;
  if (isVouchedFor && Math.abs(awayMs) > FRESH_MS) {
    const minutes = Math.round(Math.abs(awayMs) / 60_000);
    const where = awayMs < 0 ? 'old' : 'ahead of the clock ashore';
    return `This beat is ${minutes} min ${where}; it is not fresh. If it was just sent, one of the two clocks is wrong.`;
  }
  if (!last || isLater(beat, last.beat)) return null;
  const isAnew = beat.boot < last.beat.boot && beat.sentAtMs > last.beat.sentAtMs;
  if (isAnew && isVouchedFor) return null;
  return (
    `This beat (start ${beat.boot}, number ${beat.sequence}) is not later than the last one heard ` +
    `(start ${last.beat.boot}, number ${last.beat.sequence}): it was heard before, or her record began anew ` +
    'with a clock that nobody vouches for. In that case start the watcher once without her in its settings.'
  );
}

const isLater = (one: Beat, other: Beat): boolean =>
  one.boot > other.boot || (one.boot === other.boot && one.sequence > other.sequence);
