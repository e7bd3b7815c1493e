/** The raw-water pump: its relay closes while any air conditioner asks for water. */
import type { Complex } from '../complex.ts';
import type { LoadCommand, Surroundings } from './load.ts';
import { PlainLoad } from './load.ts';
import { Motor } from './motor.ts';

export interface CoolingPumpParameters {
  kind: 'cooling pump';
  ampsRunning: number;
  ampsStarting: number;
}

/**
 * A centrifugal pump whose suction clogs does less work: dry it takes some 45 % fewer watts but only
 * some 10 % fewer amperes, since its power factor falls. Engineering judgement; pumps differ.
 */
const WATTS_SAVED_DRY = 0.45;
const AMPS_SAVED_DRY = 0.1;
/** Below this share nothing comes out overboard. */
const FLOW_LEAST = 0.1;

export class CoolingPump extends PlainLoad {
  readonly #motor: Motor;
  #flowRatio = 1;

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
    return this.#motor.isRunning && this.#flowRatio >= FLOW_LEAST;
  }

  override get flowRatio(): number {
    return this.#flowRatio;
  }

  advance(seconds: number, around: Surroundings): void {
    const missing = 1 - this.#flowRatio;
    const effort = 1 - WATTS_SAVED_DRY * missing;
    const factorRatio = effort / (1 - AMPS_SAVED_DRY * missing);
    this.#motor.advance(seconds, around.volts, around.isCoolingWanted, effort, factorRatio);
  }

  override take(command: LoadCommand): void {
    if (!('flowRatio' in command)) return super.take(command);
    this.#flowRatio = command.flowRatio;
  }

  admittance(volts: number): Complex {
    return this.#motor.admittance(volts);
  }
}
