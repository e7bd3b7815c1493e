/** A cold box with a compressor: refrigerator, freezer or ice maker. */
import type { Random } from '../../random.ts';
import type { Complex } from '../complex.ts';
import type { LoadCommand, Surroundings } from './load.ts';
import { PlainLoad } from './load.ts';
import { Motor } from './motor.ts';

export interface RefrigeratorParameters {
  kind: 'refrigerator';
  ampsRunning: number;
  ampsStarting: number;
  coolingWatts: number;
  wattsPerKelvin: number;
  joulesPerKelvin: number;
  /** Box at the start, and where the thermostat stops and starts it. */
  celsius: number;
  celsiusOff: number;
  celsiusOn: number;
}

const CABIN_CELSIUS = 24;
const REST_SECONDS = 180;

export class Refrigerator extends PlainLoad {
  readonly #parameters: RefrigeratorParameters;
  readonly #random: Random;
  readonly #motor: Motor;
  #celsius: number;
  #isCalling = false;
  #coolingRatio = 1;
  #restedSeconds = REST_SECONDS;

  constructor(parameters: RefrigeratorParameters, volts: number, random: Random) {
    super();
    const { ampsRunning, ampsStarting } = parameters;
    this.#parameters = parameters;
    this.#random = random;
    this.#celsius = parameters.celsius;
    this.#motor = new Motor({
      volts,
      ampsRunning,
      ampsStarting,
      powerFactor: 0.7,
      secondsStarting: 0.4,
    });
  }

  get celsius(): number {
    return this.#celsius;
  }

  override get isStarting(): boolean {
    return this.#motor.isStarting;
  }

  advance(seconds: number, around: Surroundings): void {
    const { coolingWatts, wattsPerKelvin, joulesPerKelvin } = this.#parameters;
    const inward = wattsPerKelvin * (CABIN_CELSIUS - this.#celsius);
    const outward = this.#motor.isRunning ? coolingWatts * this.#coolingRatio : 0;
    this.#celsius += ((inward - outward) * seconds) / joulesPerKelvin;
    // Somebody opens the door, more often by day.
    const opensPerHour = around.hour > 7 && around.hour < 22 ? 2 : 0.1;
    if (this.#random.chance((opensPerHour * seconds) / 3600)) this.#celsius += 0.3;
    this.#control();
    const wasTurning = this.#motor.isTurning;
    const isWanted = this.#isCalling && (wasTurning || this.#restedSeconds >= REST_SECONDS);
    this.#motor.advance(seconds, around.volts, isWanted);
    this.#restedSeconds = this.#motor.isTurning ? 0 : this.#restedSeconds + seconds;
  }

  admittance(volts: number): Complex {
    return this.#motor.admittance(volts);
  }

  override take(command: LoadCommand): void {
    if (!('coolingRatio' in command)) return super.take(command);
    this.#coolingRatio = command.coolingRatio;
  }

  #control(): void {
    if (this.#celsius <= this.#parameters.celsiusOff) this.#isCalling = false;
    else if (this.#celsius >= this.#parameters.celsiusOn) this.#isCalling = true;
  }
}
