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
  /**
   * What runs back out of the hose once the pump has stopped after a rest; the check valve seats at
   * the second try. Absent: nothing.
   */
  backflowLitres?: number;
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

/** A pump that moves air instead of water works less. Engineering judgement. */
const DRY_EFFORT = 0.63;
/** An open hose takes more than the pump can give, so that pressure never comes. */
const OPEN_HOSE = 2;
/** Whatever runs back out of the hose does so within some seconds. */
const BACKFLOW_SECONDS = 15;
const BACKFLOW_REST_SECONDS = 120;

export class BilgePump extends PlainLoad {
  readonly #parameters: BilgePumpParameters;
  readonly #motor: Motor;
  #litres: number;
  #litresPerHour: number;
  #litresInHose = 0;
  #restedSeconds = Infinity;
  #isFloatUp = false;
  #isFloatStuck = false;

  constructor(parameters: BilgePumpParameters, volts: number) {
    super();
    this.#parameters = parameters;
    this.#motor = pumpMotor(parameters, volts);
    this.#litres = parameters.litres;
    this.#litresPerHour = parameters.litresPerHour;
  }

  override get isStarting(): boolean {
    return this.#motor.isStarting;
  }

  advance(seconds: number, around: Surroundings): void {
    const { litresPerMinute, litresOn, litresOff } = this.#parameters;
    this.#litres += (this.#litresPerHour * seconds) / 3600;
    if (this.#motor.isRunning) this.#pump((litresPerMinute * seconds) / 60);
    else this.#runBack(seconds);
    if (this.#litres >= litresOn || this.#isFloatStuck) this.#isFloatUp = true;
    else if (this.#litres <= litresOff) this.#isFloatUp = false;
    const effort = this.#litres > 0 ? 1 : DRY_EFFORT;
    this.#motor.advance(seconds, around.volts, this.#isFloatUp, effort);
  }

  admittance(volts: number): Complex {
    return this.#motor.admittance(volts);
  }

  override take(command: LoadCommand): void {
    if ('leaks' in command) this.#litresPerHour = command.leaks;
    else if ('float' in command) this.#isFloatStuck = command.float === 'stuck up';
    else super.take(command);
  }

  #pump(litres: number): void {
    const { backflowLitres = 0 } = this.#parameters;
    if (this.#restedSeconds > BACKFLOW_REST_SECONDS) this.#litresInHose = backflowLitres;
    this.#restedSeconds = 0;
    this.#litres = Math.max(0, this.#litres - litres);
  }

  #runBack(seconds: number): void {
    const { backflowLitres = 0 } = this.#parameters;
    const back = Math.min(this.#litresInHose, (backflowLitres * seconds) / BACKFLOW_SECONDS);
    this.#litresInHose -= back;
    this.#litres += back;
    this.#restedSeconds += seconds;
  }
}

export class FreshWaterPump extends PlainLoad {
  readonly #parameters: FreshWaterPumpParameters;
  readonly #motor: Motor;
  #litresStored: number;
  #litresWanted = 0;
  #isHoseOff = false;
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
    const asked = this.#isHoseOff
      ? (OPEN_HOSE * litresPerMinute * seconds) / 60
      : Math.min(this.#litresWanted, (tapLitresPerMinute * seconds) / 60);
    const pumped = this.#motor.isRunning ? (litresPerMinute * seconds) / 60 : 0;
    const drawn = Math.min(asked, this.#litresStored + pumped);
    if (!this.#isHoseOff) this.#litresWanted -= drawn;
    this.#litresStored = Math.min(accumulatorLitres, this.#litresStored + pumped - drawn);
    if (this.#litresStored <= 0.1 * accumulatorLitres) this.#isPressureLow = true;
    else if (this.#litresStored >= accumulatorLitres) this.#isPressureLow = false;
    this.#motor.advance(seconds, around.volts, this.#isPressureLow);
  }

  admittance(volts: number): Complex {
    return this.#motor.admittance(volts);
  }

  override take(command: LoadCommand): void {
    if ('drawLitres' in command) this.#litresWanted += command.drawLitres;
    else if ('hose' in command) this.#isHoseOff = command.hose === 'off';
    else super.take(command);
  }
}
