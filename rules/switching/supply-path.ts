/** The parts between a bus and the source that is known to feed it, nearest first. */
import type { Boat, Bus, MainSwitch, PartId, Source } from '../boat/boat.ts';
import { byId } from '../panel/lookup.ts';
import type { PanelState } from '../panel/panel-state.ts';

export interface SupplyPath {
  /** The bus itself and every bus above it. */
  buses: Bus[];
  /** Main switches with a breaker, each with the bus right below it where there is one. */
  mains: { main: MainSwitch; below: Bus | null }[];
  /** Null: a battery feeds it. */
  source: Source | null;
}

/** Null where what feeds the bus is not known, or nothing does. */
export function supplyPath(boat: Boat, panel: PanelState, busId: PartId): SupplyPath | null {
  const state = byId(panel.buses, busId);
  if (!state?.fedByIsKnown || state.fedBy === null) return null;
  const path: SupplyPath = {
    buses: [],
    mains: [],
    source: byId(boat.sources, state.fedBy) ?? null,
  };
  return climb(boat, panel, busId, state.fedBy, null, path) ? path : null;
}

/** Follows the supply up to `root`; true once it is there. A selector not known is tried out. */
function climb(
  boat: Boat,
  panel: PanelState,
  id: PartId,
  root: PartId,
  below: Bus | null,
  path: SupplyPath,
): boolean {
  if (id === root) return true;
  const part = boat.parts.get(id);
  if (part?.part === 'bus') {
    path.buses.push(part);
    return climb(boat, panel, part.from, root, part, path);
  }
  if (part?.part === 'main switch') {
    if (part.breaker) path.mains.push({ main: part, below });
    return climb(boat, panel, part.from, root, null, path);
  }
  if (part?.part !== 'selector') return false;
  const stands = byId(panel.selectors, id)?.position ?? null;
  const feeds = stands === null ? [...part.positions.values()] : [part.positions.get(stands)];
  return feeds.some((from) => {
    if (from === null || from === undefined) return false;
    const [buses, mains] = [path.buses.length, path.mains.length];
    if (climb(boat, panel, from, root, null, path)) return true;
    path.buses.length = buses;
    path.mains.length = mains;
    return false;
  });
}
