/** A conductor of the boat file in the units and with the defaults of `boat.ts`. */
import type { Conductor } from './boat.ts';
import type { BoatFile } from './file-schema.ts';
import type { Draft } from './draft.ts';

type CircuitConductor = NonNullable<NonNullable<BoatFile['circuits']>[string]['conductor']>;

/** International foot, exact. */
const METRES_PER_FOOT = 0.3048;

/** Null where the file does not give its size and insulation in a way that makes sense. */
export function buildConductor(file: Draft<CircuitConductor>): Conductor | null {
  const { awg, squareMillimetres, insulationCelsius, lengthFeet } = file;
  if (insulationCelsius === undefined) return null;
  if ((awg === undefined) === (squareMillimetres === undefined)) return null;
  const lengthMetres =
    file.lengthMetres ?? (lengthFeet === undefined ? undefined : lengthFeet * METRES_PER_FOOT);
  return {
    ...(awg === undefined ? {} : { awg: String(awg) }),
    ...(squareMillimetres === undefined ? {} : { squareMillimetres }),
    insulationCelsius,
    isInEngineSpace: file.isInEngineSpace ?? false,
    bundled: file.bundled ?? 2,
    ...(lengthMetres === undefined ? {} : { lengthMetres }),
  };
}
