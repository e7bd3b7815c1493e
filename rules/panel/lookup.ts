/**
 * Looking parts up by id, circuits up by bus and points up by part without walking through all of
 * them: on a boat of a thousand circuits a walk inside a walk is what costs. An index is made at
 * the first question and lives as long as the list it is of, which nobody changes.
 */
import type { Boat, Circuit, PartId, PointId } from '../boat/boat.ts';

const places = new WeakMap<readonly { id: string }[], ReadonlyMap<string, number>>();
const circuitsByBus = new WeakMap<Boat, ReadonlyMap<PartId, readonly Circuit[]>>();
const pointsByPart = new WeakMap<Boat, ReadonlyMap<PartId, readonly PointId[]>>();

/** The one of a list with that id. */
export function byId<T extends { id: string }>(list: readonly T[], id: string): T | undefined {
  let index = places.get(list);
  if (!index) places.set(list, (index = new Map(list.map((own, at) => [own.id, at]))));
  const at = index.get(id);
  return at === undefined ? undefined : list[at];
}

function grouped<T, Kept>(
  all: Iterable<T>,
  keyOf: (own: T) => string,
  keep: (own: T) => Kept,
): Map<string, Kept[]> {
  const groups = new Map<string, Kept[]>();
  for (const own of all) {
    const group = groups.get(keyOf(own));
    if (group) group.push(keep(own));
    else groups.set(keyOf(own), [keep(own)]);
  }
  return groups;
}

/** Circuits of a bus, in the order of the boat file. */
export function circuitsOn(boat: Boat, bus: PartId): readonly Circuit[] {
  let index = circuitsByBus.get(boat);
  if (!index) {
    index = grouped(
      boat.circuits,
      (circuit) => circuit.bus,
      (circuit) => circuit,
    );
    circuitsByBus.set(boat, index);
  }
  return index.get(bus) ?? [];
}

/** Points of a part, in the order of the boat file. */
export function pointIdsOf(boat: Boat, part: PartId): readonly PointId[] {
  let index = pointsByPart.get(boat);
  if (!index) {
    index = grouped(
      boat.points.values(),
      (point) => point.of,
      (point) => point.id,
    );
    pointsByPart.set(boat, index);
  }
  return index.get(part) ?? [];
}
