/**
 * The shore pedestal with its feeder, the cord, and the other boats on the same feeder. Everything
 * up to the boat's inlet.
 */
import type { Random } from '../random.ts';
import type { AcSource, AtTerminals, LegsOfSource } from './ac-source.ts';
import { BreakerHeat } from './breaker.ts';
import { complex } from './complex.ts';
import type { Complex } from './complex.ts';
import { Drift } from './drift.ts';
import type { LegIndex, PerLeg } from './three-wire.ts';
import { dockUse } from './weather.ts';

export interface PedestalParameters {
  kind: 'pedestal';
  /** A cord lies between pedestal and inlet; without one the inlet is dead. */
  hasCord: boolean;
  openCircuitVolts: number;
  hertz: number;
  /** Ohms of one conductor, pedestal and its own feeder. */
  postOhms: number;
  /** Ohms of one pin pair, both ends of the cord together. */
  plugOhms: number;
  /** Volts that the neighbours take at the busiest hour. */
  neighboursVolts: number;
  breaker: { ampsRated: number; kind: 'UL 489' | 'IEC C' };
}

export class Pedestal implements AcSource {
  readonly emfVolts: PerLeg<number> = [0, 0];
  readonly impedance: PerLeg<Complex | null> = [null, null];
  hertz = 0;
  /** A worn or loose neutral: ohms on top of the sound path's. */
  looseNeutralOhms = 0;
  readonly #parameters: PedestalParameters;
  readonly #legs: LegsOfSource;
  readonly #wireOhms: number;
  readonly #heat: BreakerHeat;
  readonly #legHasPower: PerLeg<boolean> = [true, true];
  readonly #neighbourShare: PerLeg<number>;
  readonly #flicker: PerLeg<Drift>;
  readonly #gridHertz: Drift;
  #hasTripped = false;

  /** `cordOhms`: one conductor of the cord, one way. */
  constructor(
    parameters: PedestalParameters,
    legs: LegsOfSource,
    cordOhms: number,
    random: Random,
  ) {
    this.#parameters = parameters;
    this.#legs = legs;
    this.#wireOhms = parameters.postOhms + parameters.plugOhms + cordOhms;
    this.#heat = new BreakerHeat(parameters.breaker.ampsRated, parameters.breaker.kind);
    this.#neighbourShare = [random.between(0.8, 1), random.between(0.8, 1)];
    const flicker = (): Drift => new Drift(parameters.openCircuitVolts * 0.0025, 40, random);
    this.#flicker = [flicker(), flicker()];
    this.#gridHertz = new Drift(0.015, 60, random);
  }

  get neutralOhms(): number {
    return this.#wireOhms + this.looseNeutralOhms;
  }

  get hasTripped(): boolean {
    return this.#hasTripped;
  }

  /** Switches one leg at the pedestal, or all of them; switching on also resets its breaker. */
  switchPower(isOn: boolean, leg?: LegIndex): void {
    for (const each of this.#legs) {
      if (leg === undefined || leg === each) this.#legHasPower[each] = isOn;
    }
    if (isOn) this.#hasTripped = false;
  }

  advance(seconds: number, at: AtTerminals): void {
    if (this.#heat.carries(Math.max(at.amps[0], at.amps[1]), seconds)) this.#hasTripped = true;
    this.#gridHertz.advance(seconds);
    const { openCircuitVolts, neighboursVolts, hertz, hasCord } = this.#parameters;
    const sag = neighboursVolts * dockUse(at.hour);
    let isLive = false;
    for (const leg of this.#legs) {
      this.#flicker[leg].advance(seconds);
      const hasPower = hasCord && this.#legHasPower[leg] && !this.#hasTripped;
      isLive ||= hasPower;
      this.impedance[leg] = hasPower ? complex(this.#wireOhms) : null;
      const volts = openCircuitVolts - sag * this.#neighbourShare[leg] + this.#flicker[leg].value;
      this.emfVolts[leg] = hasPower ? volts : 0;
    }
    this.hertz = isLive ? hertz + this.#gridHertz.value : 0;
  }
}
