/** What the shore rules ask of the panel, each in its own way: inlets, what they feed, points. */
import type { Boat, Circuit, LegName, PartId, Point, Quantity, ShoreInlet } from '../boat/boat.ts';
import { acrossLegs } from '../boat/check-points.ts';
import { byId } from '../panel/lookup.ts';
import type { Known, PanelState, PointState, SourceState } from '../panel/panel-state.ts';
import type { RuleContext } from './rule.ts';

export interface Inlet {
  inlet: ShoreInlet;
  state: SourceState;
}

/** Every shore inlet with its state. */
export function inletsOf({ boat, panel }: RuleContext): Inlet[] {
  const found: Inlet[] = [];
  for (const inlet of boat.sources) {
    if (inlet.kind !== 'shore inlet') continue;
    const state = byId(panel.sources, inlet.id);
    if (state) found.push({ inlet, state });
  }
  return found;
}

/** Buses that the source was the last known source of. */
export function lastFed({ boat, past }: RuleContext, source: PartId): PartId[] {
  return boat.buses.filter((bus) => past.feeds[bus.id]?.by === source).map((bus) => bus.id);
}

/** Chargers on the given buses. */
export const chargersOn = (boat: Boat, buses: readonly PartId[]): Circuit[] =>
  boat.circuits.filter((own) => own.charges !== undefined && buses.includes(own.bus));

/** When the reading behind a known value was taken; null where there is none. */
export const stampMs = (known: Known, nowMs: number): number | null =>
  known.value === null || known.ageMs === null ? null : nowMs - known.ageMs;

const statesOf = new WeakMap<PanelState, Map<string, PointState>>();

/** State of one point, looked up once an evaluation. */
export function pointState(panel: PanelState, id: string): PointState | undefined {
  let states = statesOf.get(panel);
  if (!states) {
    states = new Map(panel.points.map((state) => [state.id, state]));
    statesOf.set(panel, states);
  }
  return states.get(id);
}

const pointsBy = new WeakMap<Boat, Map<string, Point>>();

/** The point that measures a quantity of a part's leg. */
export function pointFor(
  boat: Boat,
  of: PartId,
  quantity: Quantity,
  leg: LegName | null,
): Point | undefined {
  let points = pointsBy.get(boat);
  if (!points) {
    points = new Map();
    for (const point of boat.points.values()) {
      points.set(`${point.of} ${point.quantity} ${point.leg ?? ''}`, point);
    }
    pointsBy.set(boat, points);
  }
  return points.get(`${of} ${quantity} ${leg ?? ''}`);
}

/** Fresh volts measured across both legs; null where nothing measures them. */
export function voltsAcross({ boat, panel }: RuleContext, state: SourceState): number | null {
  const leg = acrossLegs(state.legs.map((own) => own.leg));
  const point = leg === null ? undefined : pointFor(boat, state.id, 'volts', leg);
  const found = point && pointState(panel, point.id);
  return found?.freshness === 'fresh' && typeof found.value === 'number' ? found.value : null;
}
