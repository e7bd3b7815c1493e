/**
 * An engine with an alternator: starts and stops over seconds, slows down with load (droop), dips
 * when a load comes on and is brought back by its voltage regulator, and stalls when asked for too
 * much. Figures lie within class G2 of ISO 8528-5 for steps it can carry.
 */
import type { AcSource, AtTerminals, LegsOfSource } from './ac-source.ts';
import { BreakerHeat } from './breaker.ts';
import { complex } from './complex.ts';
import type { Complex } from './complex.ts';
import type { Random } from '../random.ts';
import { Drift } from './drift.ts';
import type { PerLeg } from './three-wire.ts';

export interface GeneratorParameters {
  kind: 'generator';
  /** Volts of a leg with nothing connected. */
  openCircuitVolts: number;
  /** Speed with nothing connected and at rated power. */
  hertzEmpty: number;
  hertzFull: number;
  /** Dip before the regulator answers, as a share of volts at rated current, 0..1. */
  dipRatio: number;
  /** What the regulator leaves of it, 0..1. */
  regulationRatio: number;
}

type Phase = 'stopped' | 'cranking' | 'running up' | 'running' | 'running down';

const CRANKING_SECONDS = 2;
/** A starter takes about 2 to 3 kW from its bank (common practice for small diesels). */
const CRANKING_WATTS = 2200;
const RUN_UP_SECONDS = 3;
const RUN_DOWN_SECONDS = 4;
const REGULATOR_SECONDS = 0.6;
const GOVERNOR_SECONDS = 0.8;
/** Share of rated power that the engine can give before its speed falls away. */
const ENGINE_MARGIN = 1.1;
/**
 * A governor hunts around its speed and a regulator around its volts, by these shares and within so
 * many seconds; common practice for small sets, well within the steady bands of class G2.
 */
const HUNTING_RATIO = 0.001;
const HUNTING_SECONDS = 4;
/** An engine pulled below this share of its speed dies. */
const STALL_RATIO = 0.7;

export class Generator implements AcSource {
  readonly emfVolts: PerLeg<number> = [0, 0];
  readonly impedance: PerLeg<Complex | null> = [null, null];
  readonly neutralOhms = 0.005;
  hertz = 0;
  readonly #parameters: GeneratorParameters;
  readonly #legs: LegsOfSource;
  readonly #wattsRated: number;
  readonly #ampsRated: number;
  readonly #heat: BreakerHeat;
  #phase: Phase = 'stopped';
  #phaseSeconds = 0;
  /** What the regulator makes the winding give at full speed. */
  #fieldVolts: number;
  #hasTripped = false;
  /** How long it is cranked, and whether it fires. */
  #cranking = { seconds: CRANKING_SECONDS, fires: true };
  readonly #speedHunting: Drift | null;
  readonly #voltsHunting: Drift | null;

  /** Without `random` it runs as steadily as no engine does. */
  constructor(
    parameters: GeneratorParameters,
    legs: LegsOfSource,
    rating: { watts: number; amps: number },
    random?: Random,
  ) {
    this.#parameters = parameters;
    this.#legs = legs;
    this.#wattsRated = rating.watts;
    this.#ampsRated = rating.amps;
    // Its own breaker is the next larger one, so that it guards the winding, not the fuel bill.
    this.#heat = new BreakerHeat(rating.amps * 1.2, 'UL 489');
    this.#fieldVolts = parameters.openCircuitVolts;
    const hunting = (around: number): Drift | null =>
      random === undefined ? null : new Drift(HUNTING_RATIO * around, HUNTING_SECONDS, random);
    this.#speedHunting = hunting(parameters.hertzEmpty);
    this.#voltsHunting = hunting(parameters.openCircuitVolts);
  }

  get isRunning(): boolean {
    return this.#phase === 'running';
  }

  /** Speed or voltage is changing so fast that a second is a long time. */
  get isChanging(): boolean {
    return this.#phase === 'running up' || this.#phase === 'running down';
  }

  start(): void {
    this.#hasTripped = false;
    this.#crank({ seconds: CRANKING_SECONDS, fires: true });
  }

  /** Its starter turns it for so long, and it does not fire. */
  crankInVain(seconds: number): void {
    this.#crank({ seconds, fires: false });
  }

  /** Out of the bank that cranks it. */
  get batteryWatts(): number {
    return this.#phase === 'cranking' ? CRANKING_WATTS : 0;
  }

  stop(): void {
    if (this.#phase !== 'stopped') this.#enter('running down');
  }

  advance(seconds: number, at: AtTerminals): void {
    this.#phaseSeconds += seconds;
    if (this.#heat.carries(Math.max(at.amps[0], at.amps[1]), seconds)) this.#hasTripped = true;
    this.#speedHunting?.advance(seconds);
    this.#voltsHunting?.advance(seconds);
    this.#turn(seconds, at.watts);
    this.#regulate(seconds, at);
    const speed = this.hertz / this.#parameters.hertzEmpty;
    for (const leg of this.#legs) {
      // A winding builds up its voltage only near full speed.
      this.emfVolts[leg] = this.#fieldVolts * Math.max(0, Math.min(1, (speed - 0.5) / 0.45));
      this.impedance[leg] = this.#hasTripped ? null : this.#windingOhms();
    }
  }

  #crank(cranking: { seconds: number; fires: boolean }): void {
    if (this.#phase !== 'stopped') return;
    this.#cranking = cranking;
    this.#enter('cranking');
  }

  #enter(phase: Phase): void {
    this.#phase = phase;
    this.#phaseSeconds = 0;
  }

  #turn(seconds: number, watts: number): void {
    const { hertzEmpty } = this.#parameters;
    if (this.#phase === 'cranking' && this.#phaseSeconds >= this.#cranking.seconds) {
      this.#enter(this.#cranking.fires ? 'running up' : 'stopped');
    } else if (this.#phase === 'running up') {
      this.hertz = Math.min(hertzEmpty, this.hertz + (hertzEmpty / RUN_UP_SECONDS) * seconds);
      if (this.hertz >= hertzEmpty) this.#enter('running');
    } else if (this.#phase === 'running') {
      this.hertz +=
        (this.#hertzFor(watts) - this.hertz) * (1 - Math.exp(-seconds / GOVERNOR_SECONDS));
      if (this.hertz < STALL_RATIO * hertzEmpty) this.#enter('running down');
    } else if (this.#phase === 'running down') {
      this.hertz = Math.max(0, this.hertz - (hertzEmpty / RUN_DOWN_SECONDS) * seconds);
      if (this.hertz === 0) this.#enter('stopped');
    }
  }

  /** Speed at which the engine settles with so much asked of it. */
  #hertzFor(watts: number): number {
    const { hertzEmpty, hertzFull } = this.#parameters;
    const load = watts / this.#wattsRated;
    const beyond = Math.max(0, load - ENGINE_MARGIN);
    const aim = hertzEmpty + (this.#speedHunting?.value ?? 0);
    return Math.max(0, aim - (hertzEmpty - hertzFull) * load - beyond * 80);
  }

  /** One regulator for both legs: it holds their mean, so the fuller leg stays the lower one. */
  #regulate(seconds: number, at: AtTerminals): void {
    const { openCircuitVolts, regulationRatio } = this.#parameters;
    if (this.#phase !== 'running' || this.#hasTripped) {
      this.#fieldVolts = openCircuitVolts;
      return;
    }
    const volts = mean(this.#legs.map((leg) => at.volts[leg]));
    const load = at.watts / this.#wattsRated;
    const hunting = this.#voltsHunting?.value ?? 0;
    const aim = openCircuitVolts * (1 - regulationRatio * load) + hunting;
    this.#fieldVolts += (aim - volts) * (1 - Math.exp(-seconds / REGULATOR_SECONDS));
    this.#fieldVolts = Math.min(openCircuitVolts * 1.3, Math.max(0, this.#fieldVolts));
  }

  #windingOhms(): Complex {
    const ohms = (this.#parameters.dipRatio * this.#parameters.openCircuitVolts) / this.#ampsRated;
    return complex(ohms * 0.6, ohms * 0.8);
  }
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / Math.max(1, values.length);
}
