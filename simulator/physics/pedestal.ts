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

/** What may change at a dock while a cord lies there. */
export interface Dock {
  openCircuitVolts?: number;
  neighboursVolts?: number;
  /** Ohms of one conductor on top of post, plugs and cord: a longer or thinner cord. */
  moreOhms?: number;
  /** Between the two hot wires: 180 at a 120/240 V service, 120 at 208 V, 0 from one phase. */
  degreesApart?: number;
}

export class Pedestal implements AcSource {
  readonly emfVolts: PerLeg<number> = [0, 0];
  readonly impedance: PerLeg<Complex | null> = [null, null];
  hertz = 0;
  /** A worn or loose neutral: ohms on top of the sound path's. */
  looseNeutralOhms = 0;
  /** A worn pin of each leg: ohms on top of the sound path's. */
  readonly wornPinOhms: PerLeg<number> = [0, 0];
  degreesApart = 180;
  readonly #parameters: PedestalParameters;
  readonly #legs: LegsOfSource;
  readonly #soundOhms: number;
  #moreOhms = 0;
  #openCircuitVolts: number;
  #neighboursVolts: number;
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
    this.#soundOhms = parameters.postOhms + parameters.plugOhms + cordOhms;
    this.#openCircuitVolts = parameters.openCircuitVolts;
    this.#neighboursVolts = parameters.neighboursVolts;
    this.#heat = new BreakerHeat(parameters.breaker.ampsRated, parameters.breaker.kind);
    this.#neighbourShare = [random.between(0.8, 1), random.between(0.8, 1)];
    const flicker = (): Drift => new Drift(parameters.openCircuitVolts * 0.0025, 40, random);
    this.#flicker = [flicker(), flicker()];
    this.#gridHertz = new Drift(0.015, 60, random);
  }

  get neutralOhms(): number {
    return this.#wireOhms + this.looseNeutralOhms;
  }

  get #wireOhms(): number {
    return this.#soundOhms + this.#moreOhms;
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

  change(dock: Dock): void {
    this.#openCircuitVolts = dock.openCircuitVolts ?? this.#openCircuitVolts;
    this.#neighboursVolts = dock.neighboursVolts ?? this.#neighboursVolts;
    this.#moreOhms = dock.moreOhms ?? this.#moreOhms;
    this.degreesApart = dock.degreesApart ?? this.degreesApart;
  }

  advance(seconds: number, at: AtTerminals): void {
    if (this.#heat.carries(Math.max(at.amps[0], at.amps[1]), seconds)) this.#hasTripped = true;
    this.#gridHertz.advance(seconds);
    const { hertz, hasCord } = this.#parameters;
    const sag = this.#neighboursVolts * dockUse(at.hour);
    let isLive = false;
    for (const leg of this.#legs) {
      this.#flicker[leg].advance(seconds);
      const hasPower = hasCord && this.#legHasPower[leg] && !this.#hasTripped;
      isLive ||= hasPower;
      this.impedance[leg] = hasPower ? complex(this.#wireOhms + this.wornPinOhms[leg]) : null;
      const volts =
        this.#openCircuitVolts - sag * this.#neighbourShare[leg] + this.#flicker[leg].value;
      this.emfVolts[leg] = hasPower ? volts : 0;
    }
    this.hertz = isLive ? hertz + this.#gridHertz.value : 0;
  }
}
