/**
 * Do the currents add up? Of two live sources only the one whose clamp shows the buses' current
 * can be feeding them. Clamps are a few percent off and speak at different instants, so this
 * evidence is soft: it chooses between combinations, but it never leaves none.
 */
import type { Facts } from './facts.ts';
import type { Combination } from './positions.ts';
import { isRoot } from './supply.ts';
import type { Supply } from './supply.ts';

/** Amperes and ratio by which a source's clamp and its buses' clamps may differ; common practice. */
const SLACK_AMPS = 1;
const SLACK_RATIO = 0.15;

export interface CurrentConflict {
  root: number;
  text: string;
}

/** Every root whose measured current cannot be that of the buses it would feed here. */
export function currentConflicts(
  supply: Supply,
  facts: Facts,
  group: number,
  combination: Combination,
): CurrentConflict[] {
  const conflicts: CurrentConflict[] = [];
  for (const source of facts.currents) {
    const own = supply.parts[source.part];
    if (!own || own.group !== group || !isRoot(own.part)) continue;
    let low = 0;
    let high: number | null = 0;
    for (const bus of facts.currents) {
      if (supply.parts[bus.part]?.part.part !== 'bus' || bus.leg !== source.leg) continue;
      const isElsewhere = combination.root[bus.part] !== source.part;
      // A bus that nothing is known about may hang on any source.
      const isAnywhere =
        supply.parts[bus.part]?.group === group && combination.choice[bus.part] === -1;
      if (isElsewhere && !isAnywhere) continue;
      if (isAnywhere) {
        high = null;
        continue;
      }
      low += bus.low;
      high = high === null || bus.high === null ? null : high + bus.high;
    }
    const name = own.part.label;
    if (source.low < low * (1 - SLACK_RATIO) - SLACK_AMPS) {
      const text = `${name} delivers less than the buses draw that it would feed`;
      conflicts.push({ root: source.part, text });
    } else if (high !== null && source.low > high * (1 + SLACK_RATIO) + SLACK_AMPS) {
      const text = `${name} delivers more than the buses draw that it would feed`;
      conflicts.push({ root: source.part, text });
    }
  }
  return conflicts;
}

/** The combinations whose currents add up; all of them where none does. */
export function withFittingCurrents(
  supply: Supply,
  facts: Facts,
  group: number,
  combinations: Combination[],
): Combination[] {
  if (combinations.length < 2) return combinations;
  const fitting = combinations.filter(
    (combination) => currentConflicts(supply, facts, group, combination).length === 0,
  );
  return fitting.length > 0 ? fitting : combinations;
}
