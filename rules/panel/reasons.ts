/**
 * Why a position or a feed is what it is, in whole sentences: for each other possibility the fact
 * that it would contradict is named. The sentences hold no numbers, so they stay valid
 * until a fact changes.
 */
import type { Conclusions, Reasoner } from './conclusions.ts';
import { NOTHING } from './combinations.ts';
import type { Facts, LegFact } from './facts.ts';
import { isRoot } from './supply.ts';
import type { Supply } from './supply.ts';

const labelOf = (supply: Supply, number: number): string =>
  supply.parts[number]?.part.label ?? 'nothing';

/** `A`, `A and B`, `A, B and C`. */
export function inWords(names: readonly string[], join = 'and'): string {
  if (names.length < 2) return names[0] ?? '';
  return `${names.slice(0, -1).join(', ')} ${join} ${names.at(-1)}`;
}

/**
 * Roots that could feed each part if every part could stand on any of `allowed`. Exact for each
 * part by itself: a way up passes every part once, so the choices along it are free.
 */
export function reach(supply: Supply, allowed: (part: number) => readonly number[]): Set<number>[] {
  const reached: Set<number>[] = [];
  supply.parts.forEach(({ part, choices }, number) => {
    if (isRoot(part)) {
      reached.push(new Set([number]));
      return;
    }
    const own = new Set<number>();
    for (const index of allowed(number)) {
      const from = choices[index]?.from ?? null;
      if (from === null) own.add(NOTHING);
      else for (const root of reached[from] ?? []) own.add(root);
    }
    reached.push(own);
  });
  return reached;
}

/** Whether a part fed by `root` could be as the fact says. */
function couldHold(supply: Supply, facts: Facts, fact: LegFact, root: number): boolean {
  if (root === NOTHING || !supply.parts[root]?.legs.includes(fact.leg)) {
    return fact.claims === 'dead';
  }
  const measured = facts.roots.get(root)?.get(fact.leg);
  return measured === undefined || measured === fact.claims;
}

/** A fact that none of `roots` could bring about, as a half sentence. */
function clash(supply: Supply, fact: LegFact, roots: ReadonlySet<number>): string {
  const text = fact.grounds[0]?.text ?? '';
  const names = [...roots].filter((root) => root !== NOTHING).map((root) => labelOf(supply, root));
  if (names.length === 0) return `${text}, which nothing would feed then`;
  const [verb, state] = names.length > 1 ? ['are', 'read'] : ['is', 'reads'];
  return fact.claims === 'live'
    ? `${text}, while ${inWords(names, 'or')}, which would feed it then, ${state} none`
    : `${text}, while ${inWords(names, 'or')}, which would feed it then, ${verb} live`;
}

/** The first fact that contradicts `part` on `choice`, whatever the other parts are allowed. */
function firstClash(
  supply: Supply,
  facts: Facts,
  part: number,
  choice: number,
  allowed: (part: number) => readonly number[],
): string | null {
  const group = supply.parts[part]?.group;
  const reached = reach(supply, (own) => (own === part ? [choice] : allowed(own)));
  for (const fact of facts.legs) {
    if (supply.parts[fact.part]?.group !== group) continue;
    const roots = reached[fact.part] ?? new Set();
    if (roots.size > 0 && [...roots].every((root) => !couldHold(supply, facts, fact, root))) {
      return clash(supply, fact, roots);
    }
  }
  return null;
}

/**
 * Why `number` cannot stand on `choice`, as a half sentence; null where there is no short reason.
 * First by what the readings say alone, then given where the other switches are known to stand.
 */
function whyNot(
  { supply, facts, conclusions, reasoner }: Grounds,
  number: number,
  choice: number,
): string | null {
  const reported = (part: number): number[] => {
    const name = facts.reported.get(part);
    return (supply.parts[part]?.choices ?? []).flatMap((own, index) =>
      name === undefined || own.name === name ? [index] : [],
    );
  };
  const known = (part: number): number[] => conclusions.parts[part]?.possible ?? [];
  return (
    firstClash(supply, facts, number, choice, reported) ??
    reasoner.whyByCurrents(facts, number, choice) ??
    firstClash(supply, facts, number, choice, known)
  );
}

/** What reasons are made of. */
export interface Grounds {
  supply: Supply;
  facts: Facts;
  conclusions: Conclusions;
  reasoner: Reasoner;
  /** Reason behind what rests on a word, a memory or other soft evidence, by its name. */
  softReason: (name: string) => string;
}

/** Reasons behind the position of a selector or main switch. */
export function positionReasons(grounds: Grounds, number: number): string[] {
  const { supply, facts, conclusions } = grounds;
  const own = supply.parts[number];
  const possible = conclusions.parts[number]?.possible ?? [];
  if (!own) return [];
  if (conclusions.contradictory.includes(own.group)) {
    return ['The readings contradict each other, so no position can be told.'];
  }
  if (facts.reported.has(number)) return ['Its own sensor reports it.'];
  const names = possible.map((index) => own.choices[index]?.name ?? '');
  const stands = own.part.part === 'main switch' ? 'be' : 'stand on';
  if (names.length > 1) {
    return [`The readings allow ${inWords(names)} alike.`];
  }
  const by = conclusions.parts[number]?.positionBy ?? null;
  if (by !== null) return [grounds.softReason(by)];
  return own.choices.flatMap(({ name }, index) => {
    if (possible.includes(index)) return [];
    const why = whyNot(grounds, number, index);
    const because = why ?? 'the readings taken together exclude it';
    return [`It cannot ${stands} ${name}: ${because}.`];
  });
}

/** Reasons behind what feeds a bus, or why that is not known. */
export function feedReasons(
  { supply, conclusions, softReason }: Grounds,
  number: number,
): string[] {
  const own = supply.parts[number];
  const roots = [...(conclusions.parts[number]?.roots ?? [])];
  if (!own) return [];
  if (conclusions.contradictory.includes(own.group)) {
    return ['The readings contradict each other, so what feeds it cannot be told.'];
  }
  const chain = feedChain(supply, conclusions, number);
  const [root] = roots;
  if (roots.length === 1 && root !== undefined && root >= 0) {
    const way = chain.length > 0 ? ` by way of ${inWords(chain)}` : '';
    const by = conclusions.parts[number]?.feedBy ?? null;
    const fed = `${own.part.label} is fed by ${labelOf(supply, root)}${way}.`;
    return by === null ? [fed] : [fed, softReason(by)];
  }
  if (roots.length === 1) {
    return [`Nothing feeds ${own.part.label}: ${brokenLink(supply, conclusions, number)}.`];
  }
  const names = roots.map((at) => (at < 0 ? 'nothing' : labelOf(supply, at)));
  return [`What feeds ${own.part.label} is not known; it may be ${inWords(names, 'or')}.`];
}

/** Labels and positions of what stands between a bus and its root, where known, nearest last. */
function feedChain(supply: Supply, conclusions: Conclusions, number: number): string[] {
  const chain: string[] = [];
  let at: number | null = number;
  while (at !== null) {
    const own: Supply['parts'][number] | undefined = supply.parts[at];
    const possible: number[] = conclusions.parts[at]?.possible ?? [];
    const choice: { name: string; from: number | null } | undefined =
      possible.length === 1 ? own?.choices[possible[0] ?? 0] : undefined;
    if (!own || !choice) break;
    if (own.part.part === 'selector') chain.unshift(`${own.part.label} on ${choice.name}`);
    if (own.part.part === 'main switch') chain.unshift(`${own.part.label} ${choice.name}`);
    at = choice.from;
  }
  return chain;
}

/** The first link above a bus that is known to feed nothing, in words. */
function brokenLink(supply: Supply, conclusions: Conclusions, number: number): string {
  let at: number | null = number;
  while (at !== null) {
    const own: Supply['parts'][number] | undefined = supply.parts[at];
    const possible: number[] = conclusions.parts[at]?.possible ?? [];
    if (!own || possible.length !== 1) break;
    const choice: { name: string; from: number | null } | undefined = own.choices[possible[0] ?? 0];
    if (!choice) break;
    if (choice.from === null) {
      return own.part.part === 'main switch'
        ? `${own.part.label} is open`
        : `${own.part.label} stands on ${choice.name}`;
    }
    at = choice.from;
  }
  return 'a selector or main switch above it is off';
}
