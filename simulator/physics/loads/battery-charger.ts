/** A charger as a load of its AC bus; what it gives to the battery is settled by the DC network. */
import type { ChargingParameters } from '../charging.ts';
import { Charging } from '../charging.ts';
import { ZERO } from '../complex.ts';
import type { Complex } from '../complex.ts';
import type { LoadCommand } from './load.ts';
import { PlainLoad } from './load.ts';
import { constantPower } from './siemens.ts';

export interface BatteryChargerParameters {
  kind: 'charger';
  /** Largest output. */
  amps: number;
  /** Share of its AC watts that reaches the battery, 0..1. */
  efficiency: number;
  powerFactor: number;
  /** Watts for itself while it is powered. */
  idleWatts: number;
  charging: ChargingParameters;
}

export class BatteryCharger extends PlainLoad {
  readonly charging: Charging;
  readonly #parameters: BatteryChargerParameters;
  readonly #nominalVolts: number;
  #isPowered = false;
  #outputWatts = 0;
  #hasFailed = false;

  constructor(parameters: BatteryChargerParameters, nominalVolts: number) {
    super();
    this.#parameters = parameters;
    this.#nominalVolts = nominalVolts;
    this.charging = new Charging(parameters.charging);
  }

  /** Largest output; nothing once it has failed. */
  get ampsMost(): number {
    return this.#hasFailed ? 0 : this.#parameters.amps;
  }

  get isPowered(): boolean {
    return this.#isPowered;
  }

  /** Told by the DC network what flows out of it now. */
  delivers(watts: number): void {
    this.#outputWatts = watts;
  }

  advance(_seconds: number, around: { volts: number }): void {
    this.#isPowered = around.volts > (this.#isPowered ? 0.7 : 0.8) * this.#nominalVolts;
    if (!this.#isPowered) this.#outputWatts = 0;
  }

  admittance(volts: number): Complex {
    if (!this.#isPowered) return ZERO;
    const { efficiency, idleWatts, powerFactor } = this.#parameters;
    const watts = this.#outputWatts / efficiency + idleWatts;
    return constantPower(watts, powerFactor, volts, this.#nominalVolts);
  }

  override take(command: LoadCommand): void {
    if ('holdsVolts' in command) this.charging.holdsVolts = command.holdsVolts;
    else if ('output' in command) this.#hasFailed = command.output === 'failed';
    else super.take(command);
  }
}
