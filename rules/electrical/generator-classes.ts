/**
 * Performance classes of generating sets, ISO 8528-5: how far voltage and frequency may move when
 * load comes on or goes off, and how soon they must be back. Class G2 was read in a published copy;
 * G1 and G3 are from memory. G4 is by agreement and has no numbers.
 */
import { isNotNegative, isPositive } from './numbers.ts';

export type GeneratorClass = 'G1' | 'G2' | 'G3';

/** All ratios of the rated value. */
export interface ClassLimits {
  hertzDroop: number;
  hertzDip: number;
  hertzRise: number;
  hertzRecoverySeconds: number;
  voltsSteady: number;
  voltsDip: number;
  voltsRise: number;
  voltsRecoverySeconds: number;
}

export const CLASS_LIMITS: Readonly<Record<GeneratorClass, ClassLimits>> = {
  G1: {
    hertzDroop: 0.08,
    hertzDip: 0.15,
    hertzRise: 0.18,
    hertzRecoverySeconds: 10,
    voltsSteady: 0.05,
    voltsDip: 0.25,
    voltsRise: 0.35,
    voltsRecoverySeconds: 10,
  },
  G2: {
    hertzDroop: 0.05,
    hertzDip: 0.1,
    hertzRise: 0.12,
    hertzRecoverySeconds: 5,
    voltsSteady: 0.025,
    voltsDip: 0.2,
    voltsRise: 0.25,
    voltsRecoverySeconds: 6,
  },
  G3: {
    hertzDroop: 0.03,
    hertzDip: 0.07,
    hertzRise: 0.1,
    hertzRecoverySeconds: 3,
    voltsSteady: 0.01,
    voltsDip: 0.15,
    voltsRise: 0.2,
    voltsRecoverySeconds: 4,
  },
};

/** Best first. */
const CLASSES: readonly GeneratorClass[] = ['G3', 'G2', 'G1'];

/** A load step as the meters saw it. The extreme below rated: load came on; above: load went off. */
export interface GeneratorTransient {
  quantity: 'volts' | 'hertz';
  rated: number;
  /** Lowest or highest value reached, whichever is further from rated. */
  extreme: number;
  /** From leaving the steady band to being back in it. */
  recoverySeconds: number;
}

/** The transient stays within the class. Null on a negative or non-finite number, or zero `rated`. */
export function isWithinClass(transient: GeneratorTransient, of: GeneratorClass): boolean | null {
  const { quantity, rated, extreme, recoverySeconds } = transient;
  if (!isPositive(rated) || !isNotNegative(extreme) || !isNotNegative(recoverySeconds)) return null;
  const limits = CLASS_LIMITS[of];
  const [dip, rise, recovery] =
    quantity === 'volts'
      ? [limits.voltsDip, limits.voltsRise, limits.voltsRecoverySeconds]
      : [limits.hertzDip, limits.hertzRise, limits.hertzRecoverySeconds];
  const moved = (extreme - rated) / rated;
  return moved >= -dip && moved <= rise && recoverySeconds <= recovery;
}

/** The best class that all transients stay within. Null for none seen, or bad input. */
export function bestClassOf(
  transients: readonly GeneratorTransient[],
): GeneratorClass | 'none' | null {
  if (transients.length === 0) return null;
  if (transients.some((transient) => isWithinClass(transient, 'G1') === null)) return null;
  return CLASSES.find((of) => transients.every((seen) => isWithinClass(seen, of))) ?? 'none';
}

/** The best class for a steady voltage. Null on bad input. */
export function steadyVoltsClassOf(
  volts: number,
  voltsRated: number,
): GeneratorClass | 'none' | null {
  if (!isNotNegative(volts) || !isPositive(voltsRated)) return null;
  const moved = Math.abs(volts - voltsRated) / voltsRated;
  return CLASSES.find((of) => moved <= CLASS_LIMITS[of].voltsSteady) ?? 'none';
}

/** The best class for the fall of frequency from no load to full load. Null on bad input. */
export function droopClassOf(
  hertzNoLoad: number,
  hertzFullLoad: number,
  hertzRated: number,
): GeneratorClass | 'none' | null {
  if (!isPositive(hertzNoLoad) || !isPositive(hertzFullLoad) || !isPositive(hertzRated))
    return null;
  const droop = (hertzNoLoad - hertzFullLoad) / hertzRated;
  return CLASSES.find((of) => droop <= CLASS_LIMITS[of].hertzDroop) ?? 'none';
}
