/**
 * Which signed beats are let in: neither one that came before nor an old one that somebody kept.
 * Order is (boot, sequence), which needs no clock. A boat whose record has begun anew is let in by
 * her instant, where her clock is vouched for, until she has passed all that was ever heard of her.
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
  if (!last || isLater(beat, last.peak ?? last.beat)) return null;
  const isAnew = isLater(beat, last.beat) || beat.boot < last.beat.boot;
  const isNewer = beat.sentAtMs > (last.vouchedMs ?? last.beat.sentAtMs);
  if (isVouchedFor && isAnew && isNewer) return null;
  return (
    `This beat (start ${beat.boot}, number ${beat.sequence}) is not later than the last one heard ` +
    `(start ${last.beat.boot}, number ${last.beat.sequence}): it was heard before, or her record began anew ` +
    'with a clock that nobody vouches for. In that case start the watcher once without her in its settings.'
  );
}

/** What is remembered of a beat that was let in after `last`. */
export function heardOf(beat: Beat, last: Heard | null, receivedAtMs: number): Heard {
  const before = last && (last.peak ?? last.beat);
  const isBelow = before !== null && !isLater(beat, before);
  const vouchedMs =
    beat.clock === 'unverified'
      ? last?.vouchedMs
      : Math.max(beat.sentAtMs, last?.vouchedMs ?? -Infinity);
  return {
    beat,
    receivedAtMs,
    ...(isBelow && { peak: { boot: before.boot, sequence: before.sequence } }),
    ...(vouchedMs !== undefined && { vouchedMs }),
  };
}

type Place = Pick<Beat, 'boot' | 'sequence'>;

const isLater = (one: Place, other: Place): boolean =>
  one.boot > other.boot || (one.boot === other.boot && one.sequence > other.sequence);
