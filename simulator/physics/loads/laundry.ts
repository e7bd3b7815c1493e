/** A washing machine or washer-dryer: once started it works through its programme. */
import { ZERO, add } from '../complex.ts';
import type { Complex } from '../complex.ts';
import type { LoadCommand, Surroundings } from './load.ts';
import { PlainLoad } from './load.ts';
import { constantPower, resistance } from './siemens.ts';

export interface WashStep {
  minutes: number;
  /** Element, at nominal volts. */
  heaterWatts: number;
  motorWatts: number;
  /** The drum turns and rests in turn; otherwise it turns all the time. */
  isTumbling: boolean;
}

export interface LaundryParameters {
  kind: 'laundry';
  programme: readonly WashStep[];
}

const TURNS_SECONDS = 12;
const RESTS_SECONDS = 4;

export class Laundry extends PlainLoad {
  readonly #programme: readonly WashStep[];
  readonly #nominalVolts: number;
  #step: WashStep | null = null;
  #stepIndex = 0;
  #stepSeconds = 0;

  constructor(parameters: LaundryParameters, nominalVolts: number) {
    super();
    this.#programme = parameters.programme;
    this.#nominalVolts = nominalVolts;
  }

  /** Without power the programme stands still and goes on afterwards. */
  advance(seconds: number, around: Surroundings): void {
    if (this.#step === null || around.volts < 0.7 * this.#nominalVolts) return;
    this.#stepSeconds += seconds;
    if (this.#stepSeconds < this.#step.minutes * 60) return;
    this.#begin(this.#stepIndex + 1);
  }

  admittance(volts: number): Complex {
    const step = this.#step;
    if (step === null) return ZERO;
    const isTurning =
      !step.isTumbling || this.#stepSeconds % (TURNS_SECONDS + RESTS_SECONDS) < TURNS_SECONDS;
    const heater = resistance(step.heaterWatts, this.#nominalVolts);
    const motorWatts = isTurning ? step.motorWatts : 0;
    return add(heater, constantPower(motorWatts, 0.75, volts, this.#nominalVolts));
  }

  override take(command: LoadCommand): void {
    if (!('turn' in command)) return super.take(command);
    if (command.turn === 'off') this.#step = null;
    else this.#begin(0);
  }

  #begin(index: number): void {
    this.#stepIndex = index;
    this.#stepSeconds = 0;
    this.#step = this.#programme[index] ?? null;
  }
}
