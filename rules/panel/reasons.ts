/**
 * Why a position or a feed is what it is, in whole sentences: each other possibility is tried, and
 * the fact that it would contradict is named. The sentences hold no numbers, so they stay valid
 * until a fact changes.
 */
import { currentConflicts } from './currents.ts';
import type { Conclusions } from './conclusions.ts';
import type { Facts, LegFact } from './facts.ts';
import { searchPositions } from './positions.ts';
import type { Combination } from './positions.ts';
import type { Supply } from './supply.ts';

/** How many facts a wrong position may contradict while the fewest are looked for. */
const TOLERANCES = [0, 1, 2, 4, 8, 16, 32, 64, 128];
const STEPS = 5_000;

const labelOf = (supply: Supply, number: number): string =>
  supply.parts[number]?.part.label ?? 'nothing';

/** `A`, `A and B`, `A, B and C`. */
export function inWords(names: readonly string[], join = 'and'): string {
  if (names.length < 2) return names[0] ?? '';
  return `${names.slice(0, -1).join(', ')} ${join} ${names.at(-1)}`;
}

/** One contradicted fact of a tried combination, as a half sentence. */
function contradiction(supply: Supply, fact: LegFact, combination: Combination): string {
  const root = combination.root[fact.part] ?? -1;
  if (fact.claims === 'live') {
    return root < 0
      ? `${fact.text}, which nothing would feed then`
      : `${fact.text}, while ${labelOf(supply, root)}, which would feed it then, reads none`;
  }
  return `${fact.text}, while ${labelOf(supply, root)}, which would feed it then, is live`;
}

/** Why `number` cannot stand on `choice`, as a half sentence; null where no short reason is found. */
function whyNot(supply: Supply, facts: Facts, number: number, choice: number): string | null {
  const group = supply.parts[number]?.group ?? 0;
  for (const tolerance of TOLERANCES) {
    const { combinations, isComplete } = searchPositions(supply, facts, group, {
      tolerance,
      fixed: { part: number, choice },
      limit: 200,
      steps: STEPS,
    });
    const best = combinations.reduce<Combination | undefined>(
      (a, b) => (a && a.violated.length <= b.violated.length ? a : b),
      undefined,
    );
    const [fact] = best?.violated ?? [];
    if (best && fact) return contradiction(supply, fact, best);
    // It contradicts no fact, so it was the currents that excluded it.
    if (best) return currentConflicts(supply, facts, group, best)[0]?.text ?? null;
    if (!isComplete) return null;
  }
  return null;
}

/** Reasons behind the position of a selector or main switch. */
export function positionReasons(
  supply: Supply,
  facts: Facts,
  conclusions: Conclusions,
  number: number,
): string[] {
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
  return own.choices.flatMap(({ name }, index) => {
    if (possible.includes(index)) return [];
    const why = whyNot(supply, facts, number, index);
    const because = why ?? 'the readings taken together exclude it';
    return [`It cannot ${stands} ${name}: ${because}.`];
  });
}

/** Reasons behind what feeds a bus, or why that is not known. */
export function feedReasons(supply: Supply, conclusions: Conclusions, number: number): string[] {
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
    return [`${own.part.label} is fed by ${labelOf(supply, root)}${way}.`];
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
