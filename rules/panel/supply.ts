/**
 * The supply graph of a boat: who can feed whom. Made once from the boat description; positions
 * are found on it again and again. Parts are numbered so that a search can run on small arrays.
 */
import type {
  Battery,
  Boat,
  Bus,
  LegName,
  MainSwitch,
  PartId,
  Selector,
  Source,
} from '../boat/boat.ts';

/** Where supply begins. */
export type Root = Source | Battery;
/** What stands between a root and the circuits. */
export type Supplied = Selector | MainSwitch | Bus;

/** One way a supplied part can stand. `from` is the number of the part it feeds from, or null. */
export interface Choice {
  /** Position name; `closed` or `open` for a main switch; `-` for a bus, which has no choice. */
  name: string;
  from: number | null;
}

export interface SupplyPart {
  part: Root | Supplied;
  legs: readonly LegName[];
  /** Empty for a root. */
  choices: readonly Choice[];
  /** Parts that share a group can influence each other; others never do. */
  group: number;
}

export interface Supply {
  /** Roots first, then supplied parts, each after everything that can feed it. */
  parts: readonly SupplyPart[];
  numberOf: ReadonlyMap<PartId, number>;
  groups: number;
}

export const isRoot = (part: Root | Supplied): part is Root =>
  part.part === 'source' || part.part === 'battery';

function choicesOf(part: Supplied): { name: string; from: PartId | null }[] {
  if (part.part === 'selector') {
    return [...part.positions].map(([name, from]) => ({ name, from }));
  }
  if (part.part === 'main switch') {
    return [
      { name: 'closed', from: part.from },
      { name: 'open', from: null },
    ];
  }
  return [{ name: '-', from: part.from }];
}

/** Supplied parts, each after all that can feed it. The boat file is known to be free of loops. */
function inOrder(boat: Boat): Supplied[] {
  const all: Supplied[] = [...boat.selectors, ...boat.mainSwitches, ...boat.buses];
  const byId = new Map(all.map((part) => [part.id, part]));
  const done = new Set<Supplied>();
  const ordered: Supplied[] = [];
  const visit = (part: Supplied): void => {
    if (done.has(part)) return;
    done.add(part);
    for (const { from } of choicesOf(part)) {
      const upstream = from === null ? undefined : byId.get(from);
      if (upstream) visit(upstream);
    }
    ordered.push(part);
  };
  for (const part of all) visit(part);
  return ordered;
}

const systemLegs = (boat: Boat, system: 'ac' | 'dc'): readonly LegName[] =>
  system === 'dc' ? ['DC'] : (boat.ac?.legs ?? []);

/** Numbers the groups of parts that are connected by any possible feed. */
function groupNumbers(links: readonly (readonly [number, number])[], count: number): number[] {
  const leader = Array.from({ length: count }, (_, i) => i);
  const find = (i: number): number => {
    let at = i;
    for (let up = leader[at]; up !== undefined && up !== at; up = leader[at]) at = up;
    return at;
  };
  for (const [a, b] of links) leader[find(a)] = find(b);
  const numbers = new Map<number, number>();
  return leader.map((_, i) => {
    const top = find(i);
    const number = numbers.get(top) ?? numbers.size;
    numbers.set(top, number);
    return number;
  });
}

export function supplyOf(boat: Boat): Supply {
  const roots: Root[] = [...boat.sources, ...boat.batteries];
  const all: (Root | Supplied)[] = [...roots, ...inOrder(boat)];
  const numberOf = new Map(all.map((part, i) => [part.id, i]));
  const choices = all.map((part) =>
    isRoot(part)
      ? []
      : choicesOf(part).map(({ name, from }) => ({
          name,
          from: from === null ? null : (numberOf.get(from) ?? null),
        })),
  );
  const links = choices.flatMap((own, i) =>
    own.flatMap(({ from }) => (from === null ? [] : [[i, from] as const])),
  );
  const groups = groupNumbers(links, all.length);
  return {
    parts: all.map((part, i) => ({
      part,
      legs: 'legs' in part ? part.legs : systemLegs(boat, part.system),
      choices: choices[i] ?? [],
      group: groups[i] ?? 0,
    })),
    numberOf,
    groups: Math.max(0, ...groups) + 1,
  };
}
