/** What every load is to the network: siemens that depend on its volts, and a life of its own. */
import type { Complex } from '../complex.ts';

/** What surrounds a load while time passes. */
export interface Surroundings {
  /** Volts at its terminals just now; zero when its breaker is open or its bus dead. */
  volts: number;
  /** Hour of day, 0..24. */
  hour: number;
  /** Air outside the boat. */
  celsius: number;
  /** 0..1 */
  sun: number;
  /** Raw water flows through the air conditioners. */
  hasCoolingWater: boolean;
  /** How much of it, against a clean strainer, 0..1. */
  coolingFlowRatio: number;
  /** Some air conditioner asks for raw water. */
  isCoolingWanted: boolean;
}

/** What a person does at a load. */
export type LoadCommand =
  /** Plugs in or switches on one of the appliances of an outlet circuit. */
  | { use: string; seconds: number }
  /** The load's own switch or keypad. */
  | { turn: 'on' | 'off' }
  /** Runs water: cold from the pump, or hot from the heater. */
  | { drawLitres: number }
  /** Lamps that burn from now on. */
  | { watts: number }
  | LoadFault;

/** What wears, sticks or bursts in a load. */
export type LoadFault =
  /** Water that finds its way into the bilge, litres an hour. */
  | { leaks: number }
  /** The float switch of a bilge pump hangs. */
  | { float: 'stuck up' | 'free' }
  /** A hose of the fresh water pump has come off, and the pump runs without end. */
  | { hose: 'off' | 'on' }
  /** The charger's regulator holds these volts whatever the stage; null: it is sound again. */
  | { holdsVolts: number | null }
  /** The charger takes its idle watts and gives nothing. */
  | { output: 'failed' | 'sound' }
  /** Raw water through the strainer, 0..1; 1 is clean. */
  | { flowRatio: number }
  /** Heat that a cold box's compressor carries out, against its best, 0..1. */
  | { coolingRatio: number };

export interface Load {
  /** Time passes; what happens to it is decided by what it felt until now. */
  advance(seconds: number, around: Surroundings): void;
  /** Siemens it presents at this many volts, between the two wires it is on. */
  admittance(volts: number): Complex;
  /** Draws a starting current that is over within a second. */
  readonly isStarting: boolean;
  /** Does what it is told; throws where this load knows no such command. */
  take(command: LoadCommand): void;
  readonly wantsCooling: boolean;
  readonly givesCooling: boolean;
  /** Raw water that flows while it gives cooling, 0..1 of a clean strainer's. */
  readonly flowRatio: number;
}

/** The parts of `Load` that most loads leave alone. */
export abstract class PlainLoad implements Load {
  abstract advance(seconds: number, around: Surroundings): void;
  abstract admittance(volts: number): Complex;

  get isStarting(): boolean {
    return false;
  }

  get wantsCooling(): boolean {
    return false;
  }

  get givesCooling(): boolean {
    return false;
  }

  get flowRatio(): number {
    return 0;
  }

  take(command: LoadCommand): void {
    throw new Error(`this load cannot do ${JSON.stringify(command)}`);
  }
}
