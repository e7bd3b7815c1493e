/** The raw-water pump: its relay closes while any air conditioner asks for water. */
import type { Complex } from '../complex.ts';
import type { Surroundings } from './load.ts';
import { PlainLoad } from './load.ts';
import { Motor } from './motor.ts';

export interface CoolingPumpParameters {
  kind: 'cooling pump';
  ampsRunning: number;
  ampsStarting: number;
}

export class CoolingPump extends PlainLoad {
  readonly #motor: Motor;

  constructor(parameters: CoolingPumpParameters, volts: number) {
    super();
    const { ampsRunning, ampsStarting } = parameters;
    this.#motor = new Motor({
      volts,
      ampsRunning,
      ampsStarting,
      powerFactor: 0.78,
      secondsStarting: 0.4,
    });
  }

  override get isStarting(): boolean {
    return this.#motor.isStarting;
  }

  override get givesCooling(): boolean {
    return this.#motor.isRunning;
  }

  advance(seconds: number, around: Surroundings): void {
    this.#motor.advance(seconds, around.volts, around.isCoolingWanted);
  }

  admittance(volts: number): Complex {
    return this.#motor.admittance(volts);
  }
}
