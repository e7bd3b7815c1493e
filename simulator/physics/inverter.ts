/** An inverter: alternating current out of a battery, until the battery or the load says no. */
import type { AcSource, AtTerminals, LegsOfSource } from './ac-source.ts';
import { complex } from './complex.ts';
import type { Complex } from './complex.ts';
import type { Random } from '../random.ts';
import { Drift } from './drift.ts';
import type { PerLeg } from './three-wire.ts';

export interface InverterParameters {
  kind: 'inverter';
  volts: number;
  hertz: number;
  /** Share of the battery's power that comes out again, 0..1. */
  efficiency: number;
  /** Watts it takes for itself while it runs. */
  idleWatts: number;
  /** Battery volts below which it shuts down. */
  shutDownVolts: number;
}

/** Bears twice its rating for so long, then shuts down; a smaller excess longer in proportion. */
const DOUBLE_LOAD_SECONDS = 5;
/** Its volts wander by this share as battery and temperature do; common practice. */
const WANDER_RATIO = 0.0003;
const WANDER_SECONDS = 20;

export class Inverter implements AcSource {
  readonly emfVolts: PerLeg<number> = [0, 0];
  readonly impedance: PerLeg<Complex | null> = [null, null];
  readonly neutralOhms = 0.002;
  hertz = 0;
  /** What it draws from its battery now. */
  batteryWatts = 0;
  readonly #parameters: InverterParameters;
  readonly #legs: LegsOfSource;
  readonly #wattsRated: number;
  #isOn = false;
  #strain = 0;
  readonly #wander: Drift | null;

  /** Without `random` its volts do not wander. */
  constructor(
    parameters: InverterParameters,
    legs: LegsOfSource,
    wattsRated: number,
    random?: Random,
  ) {
    const deviation = WANDER_RATIO * parameters.volts;
    this.#wander = random === undefined ? null : new Drift(deviation, WANDER_SECONDS, random);
    this.#parameters = parameters;
    this.#legs = legs;
    this.#wattsRated = wattsRated;
  }

  get isRunning(): boolean {
    return this.#isOn;
  }

  start(): void {
    this.#isOn = true;
    this.#strain = 0;
  }

  stop(): void {
    this.#isOn = false;
  }

  /** Tells it the volts of its battery, before it is advanced. */
  feelsBattery(volts: number): void {
    if (volts < this.#parameters.shutDownVolts) this.#isOn = false;
  }

  advance(seconds: number, at: AtTerminals): void {
    const { volts, hertz, efficiency, idleWatts } = this.#parameters;
    const excess = at.watts / this.#wattsRated - 1;
    this.#strain = Math.max(0, this.#strain + (excess * seconds) / DOUBLE_LOAD_SECONDS);
    if (this.#strain >= 1) this.#isOn = false;
    this.#wander?.advance(seconds);
    for (const leg of this.#legs) {
      this.emfVolts[leg] = this.#isOn ? volts + (this.#wander?.value ?? 0) : 0;
      this.impedance[leg] = this.#isOn ? complex((0.01 * volts * volts) / this.#wattsRated) : null;
    }
    this.hertz = this.#isOn ? hertz : 0;
    this.batteryWatts = this.#isOn ? at.watts / efficiency + idleWatts : 0;
  }
}
