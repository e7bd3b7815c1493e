/** Small DC pumps: one that empties the bilge on its float switch, one that holds water pressure. */
import type { Complex } from '../complex.ts';
import type { LoadCommand, Surroundings } from './load.ts';
import { PlainLoad } from './load.ts';
import { Motor } from './motor.ts';

interface PumpParameters {
  ampsRunning: number;
  litresPerMinute: number;
}

export interface BilgePumpParameters extends PumpParameters {
  kind: 'bilge pump';
  /** Water that finds its way in. */
  litresPerHour: number;
  /** Float switch closes and opens at so much water. */
  litresOn: number;
  litresOff: number;
  litres: number;
}

export interface FreshWaterPumpParameters extends PumpParameters {
  kind: 'fresh water pump';
  /** What the accumulator gives between cut-out and cut-in. */
  accumulatorLitres: number;
  /** How fast an open tap runs. */
  tapLitresPerMinute: number;
}

function pumpMotor({ ampsRunning }: PumpParameters, volts: number): Motor {
  return new Motor({
    volts,
    ampsRunning,
    powerFactor: 1,
    ampsStarting: ampsRunning * 2,
    secondsStarting: 0.3,
  });
}

export class BilgePump extends PlainLoad {
  readonly #parameters: BilgePumpParameters;
  readonly #motor: Motor;
  #litres: number;
  #isFloatUp = false;

  constructor(parameters: BilgePumpParameters, volts: number) {
    super();
    this.#parameters = parameters;
    this.#motor = pumpMotor(parameters, volts);
    this.#litres = parameters.litres;
  }

  override get isStarting(): boolean {
    return this.#motor.isStarting;
  }

  advance(seconds: number, around: Surroundings): void {
    const { litresPerHour, litresPerMinute, litresOn, litresOff } = this.#parameters;
    this.#litres += (litresPerHour * seconds) / 3600;
    if (this.#motor.isRunning) {
      this.#litres = Math.max(0, this.#litres - (litresPerMinute * seconds) / 60);
    }
    if (this.#litres >= litresOn) this.#isFloatUp = true;
    else if (this.#litres <= litresOff) this.#isFloatUp = false;
    this.#motor.advance(seconds, around.volts, this.#isFloatUp);
  }

  admittance(volts: number): Complex {
    return this.#motor.admittance(volts);
  }
}

export class FreshWaterPump extends PlainLoad {
  readonly #parameters: FreshWaterPumpParameters;
  readonly #motor: Motor;
  #litresStored: number;
  #litresWanted = 0;
  #isPressureLow = false;

  constructor(parameters: FreshWaterPumpParameters, volts: number) {
    super();
    this.#parameters = parameters;
    this.#motor = pumpMotor(parameters, volts);
    this.#litresStored = parameters.accumulatorLitres;
  }

  override get isStarting(): boolean {
    return this.#motor.isStarting;
  }

  advance(seconds: number, around: Surroundings): void {
    const { accumulatorLitres, tapLitresPerMinute, litresPerMinute } = this.#parameters;
    const asked = Math.min(this.#litresWanted, (tapLitresPerMinute * seconds) / 60);
    const pumped = this.#motor.isRunning ? (litresPerMinute * seconds) / 60 : 0;
    const drawn = Math.min(asked, this.#litresStored + pumped);
    this.#litresWanted -= drawn;
    this.#litresStored = Math.min(accumulatorLitres, this.#litresStored + pumped - drawn);
    if (this.#litresStored <= 0.1 * accumulatorLitres) this.#isPressureLow = true;
    else if (this.#litresStored >= accumulatorLitres) this.#isPressureLow = false;
    this.#motor.advance(seconds, around.volts, this.#isPressureLow);
  }

  admittance(volts: number): Complex {
    return this.#motor.admittance(volts);
  }

  override take(command: LoadCommand): void {
    if (!('drawLitres' in command)) return super.take(command);
    this.#litresWanted += command.drawLitres;
  }
}
