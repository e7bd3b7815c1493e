/**
 * Which parts of a group take part in the search for combinations, and in which order: each after
 * all that can feed it, and so that as few parts as can be are waited for at any time.
 */
import type { Facts } from './facts.ts';
import { isRoot } from './supply.ts';
import type { Supply } from './supply.ts';

/** Parts that carry facts or can feed such parts: nothing tells the others apart. */
function speakingParts(supply: Supply, facts: Facts, group: number): Set<number> {
  const speaks = new Set<number>([
    ...facts.legs.map((fact) => fact.part),
    ...facts.reported.keys(),
    ...facts.spokenOf,
    ...facts.currents.filter((fact) => fact.high !== null).map((fact) => fact.part),
  ]);
  // Every part has a higher number than what can feed it.
  for (let number = supply.parts.length - 1; number >= 0; number--) {
    const own = supply.parts[number];
    if (!own || !speaks.has(number)) continue;
    for (const { from } of own.choices) if (from !== null) speaks.add(from);
  }
  const own = [...speaks].filter((number) => {
    const part = supply.parts[number];
    return part?.group === group && !isRoot(part.part);
  });
  return new Set(own);
}

/** The speaking parts of `group` in the order in which the diagram takes them. */
export function orderedParts(supply: Supply, facts: Facts, group: number): number[] {
  const waiting = speakingParts(supply, facts, group);
  const above = new Map<number, number[]>();
  const below = new Map<number, number>();
  for (const part of waiting) {
    const feeders = (supply.parts[part]?.choices ?? [])
      .map(({ from }) => from)
      .filter((from): from is number => from !== null && waiting.has(from));
    above.set(part, [...new Set(feeders)]);
    for (const feeder of new Set(feeders)) below.set(feeder, (below.get(feeder) ?? 0) + 1);
  }
  const ordered: number[] = [];
  while (waiting.size > 0) {
    let best: { part: number; growth: number } | null = null;
    for (const part of waiting) {
      const feeders = above.get(part) ?? [];
      if (feeders.some((feeder) => waiting.has(feeder))) continue;
      const closed = feeders.filter((feeder) => below.get(feeder) === 1).length;
      const growth = (below.has(part) && (below.get(part) ?? 0) > 0 ? 1 : 0) - closed;
      if (best === null || growth < best.growth) best = { part, growth };
    }
    if (best === null) break; // The boat file is known to be free of loops.
    for (const feeder of above.get(best.part) ?? []) {
      below.set(feeder, (below.get(feeder) ?? 1) - 1);
    }
    waiting.delete(best.part);
    ordered.push(best.part);
  }
  return ordered;
}
