/**
 * The chain from the sources to a part, as far as the panel knows it: every break that may be the
 * first one, counted from the source. What is not known opens a branch; a branch is never dropped
 * because it is unlikely, so the true first break is always among those returned.
 */
import type { Boat, LegName, PartId } from '../boat/boat.ts';
import { liveByVolts } from '../panel/facts.ts';
import { byId } from '../panel/lookup.ts';
import type { Evidence, Live, PanelState } from '../panel/panel-state.ts';

/** A place where the chain may be broken. */
export interface Break {
  part: PartId;
  /**
   * `feeds nothing`: a selector on a position without a feed. `no voltage`: a source or battery.
   * `lacks the leg`: a source that does not supply the leg that is asked for.
   */
  kind: 'feeds nothing' | 'open' | 'tripped' | 'no voltage' | 'lacks the leg';
  /** Position of a selector. */
  position?: string;
  legs?: LegName[];
  /** What is known of the break itself, whether or not it is part of the chain. */
  evidence: Evidence;
}

export interface Chain {
  /** Every break that may be the first from the source; none where the chain may be whole only. */
  breaks: Break[];
  /** Whether the chain may be whole up to a source that has, or may have, voltage. */
  mayBeWhole: boolean;
  /** Selectors and main switches of which the position matters and is not known, nearest first. */
  unread: PartId[];
  /** Sources and batteries of which the voltage matters and is not known. */
  unseen: PartId[];
  /** Selectors of which no position fits the readings. */
  impossible: PartId[];
}

export interface Walk {
  boat: Boat;
  panel: PanelState;
  legs: readonly LegName[];
}

const empty = (breaks: Break[] = []): Chain => ({
  breaks,
  mayBeWhole: false,
  unread: [],
  unseen: [],
  impossible: [],
});

/** The chain above and including `id`. The boat file is known to be free of loops. */
export function chainTo(walk: Walk, id: PartId): Chain {
  const part = walk.boat.parts.get(id);
  switch (part?.part) {
    case 'source':
    case 'battery':
      return ofRoot(walk, id);
    case 'selector':
      return ofSelector(walk, id);
    case 'main switch':
      return ofMainSwitch(walk, id, chainTo(walk, part.from));
    case 'bus':
      return chainTo(walk, part.from);
    case 'circuit':
      return chainTo(walk, part.bus);
    case undefined:
      throw new Error(`There is no part "${id}".`);
  }
}

interface LegVoltage {
  leg: LegName;
  live: Live;
  evidence: Evidence;
}

function rootLegs({ boat, panel }: Walk, id: PartId): LegVoltage[] {
  const source = byId(panel.sources, id);
  if (source) {
    return source.legs.map(({ leg, live, volts }) => ({
      leg,
      live,
      evidence: live === 'unknown' ? 'unknown' : volts.value === null ? 'inferred' : 'measured',
    }));
  }
  const battery = boat.parts.get(id);
  if (battery?.part !== 'battery') return [];
  const volts = byId(panel.batteries, id)?.volts ?? null;
  const live = liveByVolts(boat, volts?.value ?? null, battery.volts);
  return battery.legs.map((leg) => ({ leg, live, evidence: volts?.evidence ?? 'unknown' }));
}

function ofRoot(walk: Walk, id: PartId): Chain {
  const own = rootLegs(walk, id);
  const asked = walk.legs.map((leg) => ({ leg, state: own.find((one) => one.leg === leg) }));
  const lacking = asked.filter(({ state }) => state === undefined).map(({ leg }) => leg);
  const at = (kind: Break['kind'], legs: LegName[], evidence: Evidence): Chain => ({
    ...empty(),
    breaks: [{ part: id, kind, legs, evidence }],
  });
  if (lacking.length > 0) return at('lacks the leg', lacking, 'measured');
  const dead = asked.flatMap(({ state }) => (state?.live === 'dead' ? [state] : []));
  if (dead.length > 0) {
    const isMeasured = dead.every(({ evidence }) => evidence === 'measured');
    const legs = dead.map(({ leg }) => leg);
    return at('no voltage', legs, isMeasured ? 'measured' : 'inferred');
  }
  const unknown = asked.flatMap(({ leg, state }) => (state?.live === 'unknown' ? [leg] : []));
  if (unknown.length === 0) return { ...empty(), mayBeWhole: true };
  return { ...at('no voltage', unknown, 'unknown'), mayBeWhole: true, unseen: [id] };
}

function ofSelector(walk: Walk, id: PartId): Chain {
  const state = byId(walk.panel.selectors, id);
  const possible = state?.possible ?? [];
  if (!state || possible.length === 0) return { ...empty(), mayBeWhole: true, impossible: [id] };
  const branches = possible.map((name) => {
    const from = state.positions.find((own) => own.name === name)?.from ?? null;
    if (from !== null) return chainTo(walk, from);
    const own: Break = {
      part: id,
      kind: 'feeds nothing',
      position: name,
      evidence: state.position === null ? 'unknown' : state.evidence,
    };
    return empty([own]);
  });
  return joined(branches, state.position === null ? [id] : []);
}

function ofMainSwitch({ panel }: Walk, id: PartId, above: Chain): Chain {
  const state = byId(panel.mainSwitches, id);
  const position = state?.position ?? 'unknown';
  if (position === 'closed' || !above.mayBeWhole) return above;
  const own: Break = {
    part: id,
    kind: position === 'tripped' ? 'tripped' : 'open',
    evidence: position === 'unknown' ? 'unknown' : (state?.evidence ?? 'unknown'),
  };
  const isKnown = position !== 'unknown';
  return {
    ...above,
    breaks: [...above.breaks, own],
    mayBeWhole: !isKnown,
    unread: isKnown ? above.unread : [id, ...above.unread],
  };
}

/** Branches of one selector put together; the same break in two branches counts once. */
function joined(branches: readonly Chain[], own: readonly PartId[]): Chain {
  const breaks = new Map<string, Break>();
  for (const one of branches.flatMap((branch) => branch.breaks)) {
    breaks.set(`${one.part} ${one.kind} ${one.position ?? ''}`, one);
  }
  const all = (pick: (branch: Chain) => readonly PartId[]): PartId[] => [
    ...new Set(branches.flatMap(pick)),
  ];
  return {
    breaks: [...breaks.values()],
    mayBeWhole: branches.some((branch) => branch.mayBeWhole),
    unread: [...new Set([...own, ...all((branch) => branch.unread)])],
    unseen: all((branch) => branch.unseen),
    impossible: all((branch) => branch.impossible),
  };
}

/** Main switches between a part and its source that are known open below the first break. */
export function openBelow({ boat, panel }: Walk, id: PartId, first: PartId): PartId[] {
  const found: PartId[] = [];
  let at: PartId | null = id;
  while (at !== null && at !== first) {
    const part = boat.parts.get(at);
    const here: PartId = at;
    if (part?.part === 'circuit') at = part.bus;
    else if (part?.part === 'bus') at = part.from;
    else if (part?.part === 'main switch') {
      const position = byId(panel.mainSwitches, here)?.position;
      if (position === 'open' || position === 'tripped') found.unshift(here);
      at = part.from;
    } else if (part?.part === 'selector') {
      const position = byId(panel.selectors, here)?.position ?? null;
      at = position === null ? null : (part.positions.get(position) ?? null);
    } else at = null;
  }
  return found;
}
