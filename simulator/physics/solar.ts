/** Solar panels with their controller. */
import type { ChargingParameters } from './charging.ts';
import { Charging } from './charging.ts';

export interface SolarParameters {
  kind: 'solar';
  charging: ChargingParameters;
}

/** Flat on a roof, warm, with salt on the glass: common practice. */
const YIELD_RATIO = 0.72;

export class SolarArray {
  readonly charging: Charging;
  readonly #wattsRated: number;
  readonly #ampsRated: number;
  #sun = 0;

  constructor(parameters: SolarParameters, rating: { watts: number; amps: number }) {
    this.charging = new Charging(parameters.charging);
    this.#wattsRated = rating.watts;
    this.#ampsRated = rating.amps;
  }

  /** What the sun would give into a battery at these volts. */
  ampsAvailable(volts: number): number {
    const watts = this.#wattsRated * YIELD_RATIO * this.#sun;
    return Math.min(this.#ampsRated, watts / Math.max(1, volts));
  }

  /** `bank`: volts and amperes of its battery for the last `seconds`. */
  advance(bank: { volts: number; amps: number }, sun: number, seconds: number): void {
    this.#sun = sun;
    this.charging.advance(bank, sun > 0.02, seconds);
  }
}
