/** Hot plates behind an energy regulator: full power in pulses while somebody cooks. */
import type { Random } from '../../random.ts';
import { ZERO } from '../complex.ts';
import type { Complex } from '../complex.ts';
import type { LoadCommand } from './load.ts';
import { PlainLoad } from './load.ts';
import { resistance } from './siemens.ts';

export interface CookerParameters {
  kind: 'cooker';
  /** All plates in use, at the volts it is made for. */
  watts: number;
}

/** Plates warm up at full power for so long before the regulator begins to pulse. */
const WARM_UP_SECONDS = 150;

export class Cooker extends PlainLoad {
  readonly #siemens: Complex;
  readonly #random: Random;
  #secondsLeft = 0;
  #warmUpLeft = 0;
  #pulseLeft = 0;
  #isHeating = false;

  constructor(parameters: CookerParameters, nominalVolts: number, random: Random) {
    super();
    this.#siemens = resistance(parameters.watts, nominalVolts);
    this.#random = random;
  }

  advance(seconds: number): void {
    this.#secondsLeft -= seconds;
    this.#warmUpLeft -= seconds;
    this.#pulseLeft -= seconds;
    if (this.#secondsLeft <= 0) this.#isHeating = false;
    else if (this.#warmUpLeft <= 0 && this.#pulseLeft <= 0) {
      this.#isHeating = !this.#isHeating;
      this.#pulseLeft = this.#isHeating
        ? this.#random.between(15, 30)
        : this.#random.between(20, 50);
    }
  }

  admittance(): Complex {
    return this.#isHeating ? this.#siemens : ZERO;
  }

  override take(command: LoadCommand): void {
    if (!('use' in command)) return super.take(command);
    this.#secondsLeft = command.seconds;
    this.#warmUpLeft = Math.min(WARM_UP_SECONDS, command.seconds / 3);
    this.#pulseLeft = 0;
    this.#isHeating = true;
  }
}
