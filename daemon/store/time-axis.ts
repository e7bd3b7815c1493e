/**
 * How the store keeps time. Nothing here or above it ever asks the wall clock.
 *
 * Every record carries one number, `atMs`: the daemon's own clock (daemon/clock.ts), which runs
 * monotonically and starts after everything that is on the disk, whatever the wall clock says. So
 * that number alone puts all records of all starts in their true order. A Boot says where on that
 * axis a start of the daemon begins, and what to add to get UTC, as well as is known. (Boot,
 * monotonic time) and `atMs` say the same: monotonic time is `atMs - boot.startsAtMs`, and a
 * record belongs to the last boot that starts at or before it.
 *
 * A wrong clock at boot (a small computer without a battery-backed clock) is repaired by correcting
 * `offsetMs` of one Boot; no record is touched. When a clock that was trusted jumps, a new Boot
 * begins there with an offset of its own. Mostly all offsets are 0, and all below is the identity.
 *
 * Inside the running daemon all instants are on the axis of the present boot: its own records as
 * they stand, older ones moved by the difference of the offsets. UTC is one addition more, and
 * made only where something leaves the daemon. Whoever deletes by age asks first whether the
 * present boot is trusted (`isTrusted`); deleting the oldest to save space needs no wall clock,
 * because the order never depends on it.
 */

import type { Alert, AlertEvent } from '../../rules/alerts/alert.ts';

/** `corrected`: was wrong or unverified at first and has been put right since. */
export type ClockQuality = 'unverified' | 'synchronised' | 'corrected';

export interface Boot {
  /** From 1, without gaps. */
  number: number;
  /** First instant of the daemon's clock that belongs to it, ms. */
  startsAtMs: number;
  /** UTC minus the daemon's clock, whole ms. */
  offsetMs: number;
  quality: ClockQuality;
  /** The kernel's name of this run of the computer; null where it has none. */
  machineRun: string | null;
}

/** Whether somebody vouches for UTC now; false too where no boot was ever recorded. */
export function isTrusted(boots: readonly Boot[]): boolean {
  const quality = boots.at(-1)?.quality;
  return quality !== undefined && quality !== 'unverified';
}

/** A piece of the axis as it is stored. Add `shiftMs` to a stored instant to get a present one. */
export interface StoredSpan {
  /** First stored instant, ms. */
  fromMs: number;
  /** Stored instant after the last, ms. */
  toMs: number;
  shiftMs: number;
}

/** The alert with its instants on the axis. */
export function alertOn(axis: TimeAxis, alert: Alert): Alert {
  if (axis.isStraight) return alert;
  const onAxis = (ms: number | null): number | null => (ms === null ? null : axis.presentMsOf(ms));
  return {
    ...alert,
    ...passingOn(axis, alert),
    sinceMs: axis.presentMsOf(alert.sinceMs),
    raisedAtMs: axis.presentMsOf(alert.raisedAtMs),
    acknowledgedAtMs: onAxis(alert.acknowledgedAtMs),
    returnedAtMs: onAxis(alert.returnedAtMs),
  };
}

/** The instants that an alert has only while it is open. Ends that lie ahead are present ones as they are. */
function passingOn(axis: TimeAxis, alert: Alert): Partial<Alert> {
  const { silenced, shelved, outOfService, escalation, reAlarmAtMs, chattering } = alert;
  const at = (ms: number): number => axis.presentMsOf(ms);
  const quietMs = chattering?.quietSinceMs ?? null;
  return {
    ...(silenced && {
      silenced: { ...silenced, atMs: at(silenced.atMs), untilMs: at(silenced.untilMs) },
    }),
    ...(shelved && {
      shelved: { ...shelved, atMs: at(shelved.atMs), untilMs: at(shelved.untilMs) },
    }),
    ...(outOfService && {
      outOfService: {
        ...outOfService,
        atMs: at(outOfService.atMs),
        reviewAtMs: at(outOfService.reviewAtMs),
        nextReviewAtMs: at(outOfService.nextReviewAtMs),
      },
    }),
    ...(escalation && { escalation: { ...escalation, nextAtMs: at(escalation.nextAtMs) } }),
    ...(reAlarmAtMs !== undefined && { reAlarmAtMs: at(reAlarmAtMs) }),
    ...(chattering && {
      chattering: {
        ...chattering,
        sinceMs: at(chattering.sinceMs),
        quietSinceMs: quietMs === null ? null : at(quietMs),
      },
    }),
  };
}

/** The event and its alert with their instants on the axis. */
export function eventOn(axis: TimeAxis, event: AlertEvent): AlertEvent {
  return { ...event, atMs: axis.presentMsOf(event.atMs), alert: alertOn(axis, event.alert) };
}

/** Present instants to stored ones and back; as the boots were when it was made. */
export class TimeAxis {
  readonly #pieces: readonly StoredSpan[];
  /** UTC minus present instants, ms. */
  readonly offsetMs: number;

  /** `boots` in order of their start; the last one is the present one. */
  constructor(boots: readonly Boot[]) {
    this.offsetMs = boots.at(-1)?.offsetMs ?? 0;
    const pieces: StoredSpan[] = [];
    for (const { startsAtMs, offsetMs } of boots) {
      const shiftMs = offsetMs - this.offsetMs;
      const last = pieces.at(-1);
      if (last?.shiftMs === shiftMs) continue;
      if (last) last.toMs = startsAtMs;
      pieces.push({ fromMs: last ? startsAtMs : -Infinity, toMs: Infinity, shiftMs });
    }
    if (pieces.length === 0) pieces.push({ fromMs: -Infinity, toMs: Infinity, shiftMs: 0 });
    this.#pieces = pieces;
  }

  /** Present instants are the stored ones. */
  get isStraight(): boolean {
    return this.#pieces.length === 1;
  }

  /** The present instant of a stored one. */
  presentMsOf(storedMs: number): number {
    return storedMs + this.#shiftAt(storedMs);
  }

  /** UTC of a present instant, ms since 1970. */
  utcMsOf(presentMs: number): number {
    return presentMs + this.offsetMs;
  }

  /**
   * Where records of the present instants `fromMs` to `toMs` (excluded) are stored: one span in
   * all but the rarest cases. In order of storing; pieces of unverified boots may overlap once
   * shifted.
   */
  spans(fromMs: number, toMs: number): StoredSpan[] {
    return this.#pieces.flatMap((piece) => {
      const from = Math.max(piece.fromMs, fromMs - piece.shiftMs);
      const to = Math.min(piece.toMs, toMs - piece.shiftMs);
      return from < to ? [{ fromMs: from, toMs: to, shiftMs: piece.shiftMs }] : [];
    });
  }

  #shiftAt(storedMs: number): number {
    return this.#pieces.findLast(({ fromMs }) => fromMs <= storedMs)?.shiftMs ?? 0;
  }
}
