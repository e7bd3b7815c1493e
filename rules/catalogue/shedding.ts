/** Which load is the easiest to switch off: by the boat's own order, then the largest. */
import type { LegName, PartId } from '../boat/boat.ts';
import { byId, circuitsOn } from '../panel/lookup.ts';
import { amps } from './rule.ts';
import type { RuleContext } from './rule.ts';

/**
 * A sentence naming up to two drawing circuits on any of `buses` and on `leg` (all legs where
 * null), or a general one where the boat file ranks none.
 */
export function easiestToDrop(
  { boat, panel }: RuleContext,
  buses: readonly PartId[],
  leg: LegName | null,
): string {
  const ranked = buses
    .flatMap((bus) => circuitsOn(boat, bus))
    .filter((circuit) => circuit.shedding !== undefined)
    .filter((circuit) => leg === null || circuit.legs.includes(leg))
    .flatMap((circuit) => {
      const state = byId(panel.circuits, circuit.id);
      return state?.activity === 'drawing' ? [{ circuit, state }] : [];
    })
    .sort((a, b) => (a.circuit.shedding ?? 0) - (b.circuit.shedding ?? 0));
  const names = ranked.slice(0, 2).map(({ state }) => `${state.label} (${amps(state.amps)})`);
  if (names.length === 0) return 'Switch off what can wait, the largest load first.';
  return `Easiest to switch off: ${names.join(', then ')}.`;
}
