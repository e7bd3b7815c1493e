/**
 * Who can feed whom, as far as the file makes sense: legs and system of every part, and the sources
 * behind it. Null means "cannot be told", because something upstream has a problem of its own.
 */
import type { LegName, PartId } from './boat.ts';
import { DC_LEG } from './boat.ts';
import { acLegsOf, entriesOf, wordsOf } from './draft.ts';
import type { DeclaredPart, DraftFile, DraftSource, Path } from './draft.ts';
import { NOTHING } from './file-panel.ts';

export interface Feed {
  /** What feeds there; null for nothing, undefined where the file does not make sense. */
  from: PartId | null | undefined;
  path: Path;
}

export interface SupplyView {
  /** What can feed a selector, main switch or bus, in the order of the file; empty for others. */
  feedsOf: (id: PartId) => readonly Feed[];
  /** Legs that can be live there, in the order of the system's legs. */
  legsOf: (id: PartId) => LegName[] | null;
  /** `mixed` for a selector between AC and DC. */
  systemOf: (id: PartId) => 'ac' | 'dc' | 'mixed' | null;
  /** Every source and battery that can feed it. */
  rootsOf: (id: PartId) => Set<PartId>;
  /** Selectors, main switches and buses in the order of the file. */
  fed: readonly PartId[];
}

export function supplyView(draft: DraftFile, parts: ReadonlyMap<PartId, DeclaredPart>): SupplyView {
  const feeds = feedsByPart(draft, parts);
  const feedsOf = (id: PartId): readonly Feed[] => feeds.get(id) ?? [];
  const order = upstreamFirst([...feeds.keys()], feedsOf);
  const systems = systemsByPart(draft, parts, order, feedsOf);
  const legs = legsByPart(draft, parts, order, feedsOf);
  return {
    feedsOf,
    fed: [...feeds.keys()],
    legsOf: (id) => legs.get(id) ?? null,
    systemOf: (id) => systems.get(id) ?? null,
    rootsOf: (id) => rootsOf(id, feedsOf, parts),
  };
}

function feedsByPart(
  draft: DraftFile,
  parts: ReadonlyMap<PartId, DeclaredPart>,
): Map<PartId, Feed[]> {
  const feeds = new Map<PartId, Feed[]>();
  // Of two parts with the same id only the first counts.
  const isFirst = (id: PartId, section: string): boolean => parts.get(id)?.section === section;
  for (const [id, selector] of entriesOf(draft.selectors)) {
    if (!isFirst(id, 'selectors')) continue;
    const positions = Object.entries(selector.positions ?? {}).map(([name, from]) => ({
      from: from === NOTHING ? null : from,
      path: ['selectors', id, 'positions', name],
    }));
    feeds.set(id, positions);
  }
  for (const section of ['switches', 'buses'] as const) {
    for (const [id, part] of entriesOf(draft[section])) {
      if (isFirst(id, section)) feeds.set(id, [{ from: part.from, path: [section, id, 'from'] }]);
    }
  }
  return feeds;
}

/** Parts after everything that feeds them; those in a loop or behind one are left out. */
function upstreamFirst(ids: readonly PartId[], feedsOf: (id: PartId) => readonly Feed[]): PartId[] {
  const fedBy = new Map<PartId, PartId[]>();
  const waitingFor = new Map<PartId, number>();
  const known = new Set(ids);
  for (const id of ids) {
    const upstream = feedsOf(id).flatMap(({ from }) => (from && known.has(from) ? [from] : []));
    waitingFor.set(id, upstream.length);
    for (const from of upstream) {
      const already = fedBy.get(from);
      if (already === undefined) fedBy.set(from, [id]);
      else already.push(id);
    }
  }
  const order = ids.filter((id) => waitingFor.get(id) === 0);
  for (const ready of order) {
    for (const id of fedBy.get(ready) ?? []) {
      const left = (waitingFor.get(id) ?? 0) - 1;
      waitingFor.set(id, left);
      // An array grows while it is walked: the loop reaches what is added here.
      if (left === 0) order.push(id);
    }
  }
  return order;
}

export function isDcSource(source: DraftSource): boolean {
  return source.kind === 'alternator' || source.kind === 'solar';
}

function systemsByPart(
  draft: DraftFile,
  parts: ReadonlyMap<PartId, DeclaredPart>,
  order: readonly PartId[],
  feedsOf: (id: PartId) => readonly Feed[],
): Map<PartId, 'ac' | 'dc' | 'mixed'> {
  const systems = new Map<PartId, 'ac' | 'dc' | 'mixed'>();
  for (const [id, source] of entriesOf(draft.sources)) {
    if (source.kind !== undefined) systems.set(id, isDcSource(source) ? 'dc' : 'ac');
  }
  for (const part of parts.values()) if (part.section === 'batteries') systems.set(part.id, 'dc');
  for (const id of order) {
    const found = new Set(feedsOf(id).flatMap(({ from }) => (from ? [systems.get(from)] : [])));
    found.delete(undefined);
    const [only] = found;
    if (only !== undefined) systems.set(id, found.size > 1 ? 'mixed' : only);
  }
  return systems;
}

function legsByPart(
  draft: DraftFile,
  parts: ReadonlyMap<PartId, DeclaredPart>,
  order: readonly PartId[],
  feedsOf: (id: PartId) => readonly Feed[],
): Map<PartId, LegName[]> {
  const legs = new Map<PartId, LegName[]>();
  const acLegs = acLegsOf(draft);
  for (const [id, source] of entriesOf(draft.sources)) {
    const given = 'legs' in source && source.legs ? wordsOf(source.legs) : acLegs;
    if (source.kind !== undefined && isDcSource(source)) legs.set(id, [DC_LEG]);
    else if (source.kind !== undefined && given !== null) legs.set(id, given);
  }
  for (const part of parts.values()) {
    if (part.section === 'batteries') legs.set(part.id, [DC_LEG]);
  }
  for (const id of order) {
    const given = draft.buses?.[id]?.legs;
    const upstream = feedsOf(id).map(({ from }) => (from === null ? [] : legs.get(from ?? '')));
    if (given !== undefined) {
      legs.set(id, wordsOf(given));
    } else if (upstream.every((some) => some !== undefined)) {
      const all = new Set(upstream.flat());
      // Behind a selector between AC and DC nobody can tell.
      if (all.size > 1 && all.has(DC_LEG)) continue;
      const inOrder = (acLegs ?? []).filter((leg) => all.delete(leg));
      legs.set(id, [...inOrder, ...all]);
    }
  }
  return legs;
}

function rootsOf(
  id: PartId,
  feedsOf: (id: PartId) => readonly Feed[],
  parts: ReadonlyMap<PartId, DeclaredPart>,
): Set<PartId> {
  const roots = new Set<PartId>();
  const seen = new Set<PartId>([id]);
  for (const here of seen) {
    const section = parts.get(here)?.section;
    if (section === 'sources' || section === 'batteries') roots.add(here);
    // A set grows while it is walked: the loop reaches what is added here.
    for (const { from } of feedsOf(here)) if (from) seen.add(from);
  }
  return roots;
}
