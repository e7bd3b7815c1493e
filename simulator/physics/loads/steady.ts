/** Loads that simply burn: instruments, lamps, and elements that are on while their breaker is. */
import type { Random } from '../../random.ts';
import type { Complex } from '../complex.ts';
import { Drift } from '../drift.ts';
import type { LoadCommand } from './load.ts';
import { PlainLoad } from './load.ts';
import { constantPower, resistance } from './siemens.ts';

export interface SteadyParameters {
  kind: 'steady';
  /** At nominal volts; a person may set other watts later (lamps). */
  watts: number;
  /** A heating element; otherwise electronics that hold their watts. */
  isElement: boolean;
}

export class Steady extends PlainLoad {
  readonly #parameters: SteadyParameters;
  readonly #nominalVolts: number;
  readonly #flicker: Drift;
  #watts: number;

  constructor(parameters: SteadyParameters, nominalVolts: number, random: Random) {
    super();
    this.#parameters = parameters;
    this.#nominalVolts = nominalVolts;
    this.#watts = parameters.watts;
    this.#flicker = new Drift(0.03, 20, random);
  }

  advance(seconds: number): void {
    this.#flicker.advance(seconds);
  }

  admittance(volts: number): Complex {
    if (this.#parameters.isElement) return resistance(this.#watts, this.#nominalVolts);
    const watts = this.#watts * (1 + this.#flicker.value);
    return constantPower(watts, 1, volts, this.#nominalVolts);
  }

  override take(command: LoadCommand): void {
    if (!('watts' in command)) return super.take(command);
    this.#watts = command.watts;
  }
}
