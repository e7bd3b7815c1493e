/** Which circuits others require, and who requires them; found once for each boat. */
import type { Boat, Circuit } from '../boat/boat.ts';

export interface Required {
  required: Circuit;
  dependents: Circuit[];
}

const found = new WeakMap<Boat, Required[]>();

/** In the order of the boat file. */
export function requiredCircuits(boat: Boat): readonly Required[] {
  let own = found.get(boat);
  if (!own) {
    own = boat.circuits
      .map((required) => ({
        required,
        dependents: boat.circuits.filter((circuit) => circuit.requires.includes(required.id)),
      }))
      .filter(({ dependents }) => dependents.length > 0);
    found.set(boat, own);
  }
  return own;
}
