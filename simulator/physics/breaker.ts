/**
 * A breaker's own heat (thermal memory after IEC 60255-149) and magnetic trip. The two settings lie
 * inside the bands of UL 489 (holds 100 %, trips at 135 % within 1 h and at 200 % within 2 min) and
 * IEC 60898-1 (holds 113 % for 1 h, trips at 145 % within 1 h and at 255 % within 1..60 s).
 */
import type { BreakerKind } from '../../rules/index.ts';

interface TripCurve {
  /** Current that is just held for ever, times rating. */
  heldRatio: number;
  seconds: number;
  /** Trips at once above this, times rating. */
  magneticRatio: number;
}

const CURVES: Readonly<Record<BreakerKind, TripCurve>> = {
  'UL 489': { heldRatio: 1.2, seconds: 250, magneticRatio: 10 },
  'IEC B': { heldRatio: 1.25, seconds: 120, magneticRatio: 4 },
  'IEC C': { heldRatio: 1.25, seconds: 120, magneticRatio: 7 },
  'IEC D': { heldRatio: 1.25, seconds: 120, magneticRatio: 14 },
  fuse: { heldRatio: 1.2, seconds: 60, magneticRatio: 10 },
};

export class BreakerHeat {
  readonly #curve: TripCurve;
  readonly #ampsHeld: number;
  readonly #ampsMagnetic: number;
  /** 0 cold, 1 trips. */
  #heat = 0;

  constructor(ampsRated: number, kind: BreakerKind) {
    this.#curve = CURVES[kind];
    this.#ampsHeld = this.#curve.heldRatio * ampsRated;
    this.#ampsMagnetic = this.#curve.magneticRatio * ampsRated;
  }

  /** Carries `amps` (the fuller pole) for `seconds`; true when that makes it trip. */
  carries(amps: number, seconds: number): boolean {
    const settles = (amps / this.#ampsHeld) ** 2;
    this.#heat = settles + (this.#heat - settles) * Math.exp(-seconds / this.#curve.seconds);
    return this.#heat >= 1 || amps > this.#ampsMagnetic;
  }
}
