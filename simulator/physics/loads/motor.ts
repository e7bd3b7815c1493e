/** A motor with its contactor: locked-rotor current for a moment, then its running watts. */
import { ZERO, complex } from '../complex.ts';
import type { Complex } from '../complex.ts';
import { constantPower } from './siemens.ts';

export interface MotorParameters {
  volts: number;
  ampsRunning: number;
  powerFactor: number;
  ampsStarting: number;
  secondsStarting: number;
}

/** Common practice for a locked rotor. */
const STARTING_POWER_FACTOR = 0.55;
/** A contactor lets go below this share of nominal volts and pulls in above the other. */
const DROPS_OUT = 0.55;
const PULLS_IN = 0.75;

export class Motor {
  readonly #parameters: MotorParameters;
  #phase: 'stopped' | 'starting' | 'running' = 'stopped';
  #started = 0;
  /** How hard it works against its running amps; 1 is normal. */
  #effort = 1;
  /** Power factor against that of full work. */
  #factorRatio = 1;

  constructor(parameters: MotorParameters) {
    this.#parameters = parameters;
  }

  get isStarting(): boolean {
    return this.#phase === 'starting';
  }

  get isTurning(): boolean {
    return this.#phase !== 'stopped';
  }

  get isRunning(): boolean {
    return this.#phase === 'running';
  }

  /** `isWanted`: its control asks it to run. Torque, so the pace of starting, goes with volts squared. */
  advance(seconds: number, volts: number, isWanted: boolean, effort = 1, factorRatio = 1): void {
    const ratio = volts / this.#parameters.volts;
    this.#effort = effort;
    this.#factorRatio = factorRatio;
    if (!isWanted || ratio < DROPS_OUT) this.#phase = 'stopped';
    else if (this.#phase === 'starting') {
      this.#started += seconds * ratio * ratio;
      if (this.#started >= this.#parameters.secondsStarting) this.#phase = 'running';
    } else if (this.#phase === 'stopped' && ratio >= PULLS_IN) {
      this.#phase = 'starting';
      this.#started = 0;
    }
  }

  admittance(volts: number): Complex {
    const { volts: nominal, ampsRunning, ampsStarting, powerFactor } = this.#parameters;
    if (this.#phase === 'stopped') return ZERO;
    if (this.#phase === 'starting') {
      const siemens = ampsStarting / nominal;
      const cosine = this.#parameters.powerFactor === 1 ? 1 : STARTING_POWER_FACTOR;
      return complex(siemens * cosine, -siemens * Math.sqrt(1 - cosine * cosine));
    }
    const watts = nominal * ampsRunning * powerFactor * this.#effort;
    return constantPower(watts, powerFactor * this.#factorRatio, volts, nominal);
  }
}
