/** A circuit of outlets: what is always plugged in, and what people use for some minutes. */
import type { Random } from '../../random.ts';
import { add } from '../complex.ts';
import type { Complex } from '../complex.ts';
import { Drift } from '../drift.ts';
import type { LoadCommand } from './load.ts';
import { PlainLoad } from './load.ts';
import { constantPower, resistance } from './siemens.ts';

export interface Appliance {
  /** At the system's nominal volts. */
  watts: number;
  /** A heating element: its power goes with volts squared. Otherwise it holds its watts. */
  isElement: boolean;
  /** 0..1; an element's is 1. */
  powerFactor: number;
}

export interface OutletsParameters {
  kind: 'outlets';
  /** Chargers and boxes with clocks that never leave. */
  wattsAlways: number;
  appliances: Readonly<Record<string, Appliance>>;
}

interface Use {
  appliance: Appliance;
  secondsLeft: number;
}

export class Outlets extends PlainLoad {
  readonly #parameters: OutletsParameters;
  readonly #nominalVolts: number;
  readonly #flicker: Drift;
  #uses: Use[] = [];

  constructor(parameters: OutletsParameters, nominalVolts: number, random: Random) {
    super();
    this.#parameters = parameters;
    this.#nominalVolts = nominalVolts;
    this.#flicker = new Drift(0.04, 30, random);
  }

  advance(seconds: number): void {
    this.#flicker.advance(seconds);
    for (const use of this.#uses) use.secondsLeft -= seconds;
    if (this.#uses.some((use) => use.secondsLeft <= 0)) {
      this.#uses = this.#uses.filter((use) => use.secondsLeft > 0);
    }
  }

  admittance(volts: number): Complex {
    const always = this.#parameters.wattsAlways * (1 + this.#flicker.value);
    let sum = constantPower(always, 0.9, volts, this.#nominalVolts);
    for (const { appliance } of this.#uses) sum = add(sum, this.#siemensOf(appliance, volts));
    return sum;
  }

  override take(command: LoadCommand): void {
    if (!('use' in command)) return super.take(command);
    const appliance = this.#parameters.appliances[command.use];
    if (appliance === undefined) throw new Error(`no such appliance here: ${command.use}`);
    this.#uses.push({ appliance, secondsLeft: command.seconds });
  }

  #siemensOf(appliance: Appliance, volts: number): Complex {
    const { watts, powerFactor, isElement } = appliance;
    if (isElement) return resistance(watts, this.#nominalVolts);
    return constantPower(watts, powerFactor, volts, this.#nominalVolts);
  }
}
