/** A tank with an element of constant resistance and a thermostat. */
import { ZERO } from '../complex.ts';
import type { Complex } from '../complex.ts';
import type { LoadCommand, Surroundings } from './load.ts';
import { PlainLoad } from './load.ts';
import { resistance } from './siemens.ts';

export interface WaterHeaterParameters {
  kind: 'water heater';
  /** At the system's nominal volts. */
  watts: number;
  litres: number;
  /** Water at the start, degrees Celsius. */
  celsius: number;
  celsiusOff: number;
  celsiusOn: number;
  /** Heat lost through the tank's wall. */
  wattsPerKelvin: number;
}

/** Heat capacity of water. */
const JOULES_PER_LITRE_KELVIN = 4186;
const COLD_WATER_CELSIUS = 18;
const CABIN_CELSIUS = 24;

export class WaterHeater extends PlainLoad {
  readonly #parameters: WaterHeaterParameters;
  readonly #siemens: Complex;
  #celsius: number;
  #isOn: boolean;

  constructor(parameters: WaterHeaterParameters, nominalVolts: number) {
    super();
    this.#parameters = parameters;
    this.#siemens = resistance(parameters.watts, nominalVolts);
    this.#celsius = parameters.celsius;
    this.#isOn = parameters.celsius < parameters.celsiusOn;
  }

  get celsius(): number {
    return this.#celsius;
  }

  advance(seconds: number, around: Surroundings): void {
    const { litres, wattsPerKelvin, celsiusOff, celsiusOn } = this.#parameters;
    const heating = this.#isOn ? this.#siemens.re * around.volts ** 2 : 0;
    const losing = wattsPerKelvin * (this.#celsius - CABIN_CELSIUS);
    this.#celsius += ((heating - losing) * seconds) / (litres * JOULES_PER_LITRE_KELVIN);
    if (this.#celsius >= celsiusOff) this.#isOn = false;
    else if (this.#celsius <= celsiusOn) this.#isOn = true;
  }

  admittance(): Complex {
    return this.#isOn ? this.#siemens : ZERO;
  }

  override take(command: LoadCommand): void {
    if (!('drawLitres' in command)) return super.take(command);
    const share = Math.min(1, command.drawLitres / this.#parameters.litres);
    this.#celsius += (COLD_WATER_CELSIUS - this.#celsius) * share;
  }
}
