/** What the network needs to know of a source of alternating current, and what it tells it back. */
import type { Complex } from './complex.ts';
import type { LegIndex, PerLeg } from './three-wire.ts';

/** What went on at a source's terminals since it was last advanced. */
export interface AtTerminals {
  hour: number;
  watts: number;
  volts: PerLeg<number>;
  amps: PerLeg<number>;
}

export interface AcSource {
  /** Open-circuit volts of each leg; zero where dead. */
  readonly emfVolts: PerLeg<number>;
  /** Ohms behind each leg's terminal; null where that pole is open or not there. */
  readonly impedance: PerLeg<Complex | null>;
  readonly neutralOhms: number;
  /** Between its two hot wires; absent: 180, as at a 120/240 V service. */
  readonly degreesApart?: number;
  /** Zero when nothing turns or nothing is there. */
  readonly hertz: number;
  advance(seconds: number, at: AtTerminals): void;
}

/** Legs of the boat that this source has, e.g. both of them or only the first. */
export type LegsOfSource = readonly LegIndex[];
