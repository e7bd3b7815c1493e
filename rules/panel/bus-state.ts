/** What feeds a bus, what flows on its legs, and what no circuit's own meter explains. */
import type { Bus, PartId } from '../boat/boat.ts';
import type { Conclusion } from './conclusions.ts';
import { conclusionOf, evidenceOf } from './instant.ts';
import type { Instant } from './instant.ts';
import { later, sum } from './known.ts';
import { busLegs, legLater, unmeteredAmps } from './legs.ts';
import type { BusState, Known } from './panel-state.ts';

/** `ampsOf`: current of each circuit. */
export function busState(
  instant: Instant,
  bus: Bus,
  ampsOf: ReadonlyMap<PartId, Known>,
  because: string[],
): BusState {
  const { boat, supply, latest, nowMs } = instant;
  const conclusion = conclusionOf(instant, bus.id);
  const legs = busLegs(boat, latest, bus, conclusion, ampsOf, nowMs);
  const root = onlyRoot(conclusion);
  return {
    id: bus.id,
    label: bus.label,
    system: bus.system,
    from: bus.from,
    legs,
    watts: sum(legs.map((leg) => leg.watts)),
    fedBy: root === null || root < 0 ? null : (supply.parts[root]?.part.id ?? null),
    fedByIsKnown: root !== null,
    feedEvidence: root === null ? 'unknown' : evidenceOf(conclusion?.feedRestsOn),
    unmeteredAmps: legs.map((leg) => ({
      leg: leg.leg,
      amps: unmeteredAmps(boat, latest, bus, leg, ampsOf, nowMs),
    })),
    because,
  };
}

/** The same bus `byMs` later, if nothing it rests on has changed since. */
export const busLater = (bus: BusState, byMs: number, because: string[]): BusState => ({
  ...bus,
  legs: bus.legs.map((leg) => legLater(leg, byMs)),
  watts: later(bus.watts, byMs),
  unmeteredAmps: bus.unmeteredAmps.map(({ leg, amps }) => ({ leg, amps: later(amps, byMs) })),
  because,
});

/** The one root that all combinations agree on (-1: none), or null where they differ. */
function onlyRoot(conclusion: Conclusion | undefined): number | null {
  const roots = conclusion?.roots;
  const [root] = roots ?? [];
  return roots?.size === 1 && root !== undefined ? root : null;
}
