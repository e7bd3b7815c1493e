/**
 * "Why is this dead?" for a bus or a circuit: the first broken link in the chain from its source,
 * in one sentence, with what to do and the cautions that go with it. Where the chain is not known
 * it says so and how to find out. It speaks of what reads no voltage, never of what is dead.
 */
import type { Boat, Bus, Circuit, LegName, PartId } from '../boat/boat.ts';
import { CAUTIONS, label } from '../catalogue/rule.ts';
import { byId } from '../panel/lookup.ts';
import type { BusState, PanelState } from '../panel/panel-state.ts';
import { inWords } from '../panel/reasons.ts';
import type { WhyDead } from './answer.ts';
import { chainTo, openBelow } from './chain.ts';
import type { Break, Chain, Walk } from './chain.ts';
import { ordersOf, ownBreaker, drawsWords, switchOf } from './circuit-words.ts';
import { adviceOn, breakWords, onLegs, silence, suspectWords } from './words.ts';

/** Null where `id` is no bus and no circuit of this boat. */
export function whyDead(boat: Boat, panel: PanelState, id: PartId): WhyDead | null {
  const part = boat.parts.get(id);
  if (part?.part === 'bus') return ofBus(boat, panel, part, part.legs, part.id);
  if (part?.part === 'circuit') return ofCircuit(boat, panel, part);
  return null;
}

const nothingToSay = (part: PartId, verdict: WhyDead['verdict'], sentence: string): WhyDead => ({
  part,
  verdict,
  link: null,
  suspects: [],
  sentence,
  doThis: '',
  also: [],
  cautions: [],
});

function ofCircuit(boat: Boat, panel: PanelState, circuit: Circuit): WhyDead {
  const state = byId(panel.circuits, circuit.id);
  const bus = boat.parts.get(circuit.bus);
  if (!state || bus?.part !== 'bus') throw new Error(`The panel has no circuit "${circuit.id}".`);
  if (state.activity === 'drawing') {
    return nothingToSay(circuit.id, 'reads voltage', drawsWords(circuit, state));
  }
  const also = ordersOf(boat, panel, circuit);
  if (state.live === 'live') return ownBreaker(boat, panel, circuit, also);
  const above = ofBus(boat, panel, bus, circuit.legs, circuit.id);
  if (above.verdict === 'reads voltage') return ownBreaker(boat, panel, circuit, also);
  const own = switchOf(panel, circuit.id);
  const isOpen = own === 'open' || own === 'tripped';
  const breaker = `Its own breaker is ${own ?? ''} too.`;
  return {
    ...above,
    // An open breaker of its own may be all there is where the chain above is not known.
    suspects:
      isOpen && above.verdict === 'not known' ? [...above.suspects, circuit.id] : above.suspects,
    also: [...above.also, ...(isOpen ? [breaker] : []), ...also],
  };
}

interface Asked {
  walk: Walk;
  bus: Bus;
  state: BusState;
  /** The bus, or the circuit on it that is asked about. */
  about: PartId;
}

/** `legs`: those that are asked about; `about`: the bus itself or a circuit on it. */
function ofBus(
  boat: Boat,
  panel: PanelState,
  bus: Bus,
  legs: readonly LegName[],
  about: PartId,
): WhyDead {
  const state = byId(panel.buses, bus.id);
  if (!state) throw new Error(`The panel has no bus "${bus.id}".`);
  const asked = state.legs.filter(({ leg }) => legs.includes(leg));
  const dead = asked.filter(({ live }) => live === 'dead').map(({ leg }) => leg);
  if (dead.length > 0) {
    return ofDeadBus({ walk: { boat, panel, legs: dead }, bus, state, about });
  }
  const unknown = asked.filter(({ live }) => live === 'unknown').map(({ leg }) => leg);
  if (unknown.length > 0) {
    return ofUnreadBus({ walk: { boat, panel, legs: unknown }, bus, state, about });
  }
  const feeder = state.fedBy === null ? '' : ` and is fed by ${label(boat, state.fedBy)}`;
  return nothingToSay(about, 'reads voltage', `${bus.label} reads voltage${feeder}.`);
}

/** `House bus reads no voltage on leg L2`, or that the other readings say so. */
function deadWords({ walk, bus, state, about }: Asked): string {
  const { boat, legs } = walk;
  const isMeasured = state.legs.every(
    ({ leg, volts }) => !legs.includes(leg) || volts.value !== null,
  );
  const where = onLegs(boat, legs, bus.legs);
  const whose = about === bus.id ? bus.label : `${label(boat, about)} is on ${bus.label}, which`;
  return isMeasured
    ? `${whose} reads no voltage${where}`
    : `${whose} gets no voltage${where}, going by the other readings`;
}

/** Names the contradiction that concerns the chain, or null. */
function contradictionOn({ walk, bus }: Asked, chain: Chain): string | null {
  const named = new Set([bus.id, ...chain.impossible, ...chain.breaks.map(({ part }) => part)]);
  const found = walk.panel.contradictions.find(({ parts }) => parts.some((id) => named.has(id)));
  if (chain.impossible.length === 0) return null;
  return found?.culprit?.text ?? found?.because[0] ?? 'No position of the switches explains them.';
}

function ofDeadBus(asked: Asked): WhyDead {
  const { walk, bus } = asked;
  const chain = chainTo(walk, bus.id);
  const clash = contradictionOn(asked, chain);
  if (clash !== null) return contradicted(asked, clash);
  const [first] = chain.breaks;
  if (!first) return unexplained(asked);
  if (chain.breaks.length === 1) return brokenAt(asked, first, deadWords(asked));
  return undecided(
    asked,
    chain,
    `${deadWords(asked)}, and where its supply is broken is not known`,
  );
}

function brokenAt({ walk, bus, about }: Asked, first: Break, opening: string): WhyDead {
  const below = openBelow(walk, bus.id, first.part).map((id) => label(walk.boat, id));
  const also = `${inWords(below)} further down ${below.length > 1 ? 'are' : 'is'} open as well.`;
  return {
    part: about,
    verdict: 'broken',
    link: first.part,
    suspects: [],
    sentence: `${opening}: ${breakWords(walk.boat, first)}.`,
    also: below.length > 0 ? [also] : [],
    ...adviceOn(walk, first),
  };
}

function undecided({ walk, about }: Asked, chain: Chain, opening: string): WhyDead {
  const { boat, panel } = walk;
  const suspects = [...new Set(chain.breaks.map(({ part }) => part))];
  const words = chain.breaks.map((own) => suspectWords(boat, panel, own));
  return {
    part: about,
    verdict: 'not known',
    link: null,
    suspects,
    sentence: words.length > 0 ? `${opening}: ${words.join('; or ')}.` : `${opening}.`,
    doThis: howToFindOut(walk, chain),
    also: [],
    cautions: [CAUTIONS.neverProvesDead, CAUTIONS.electrician],
  };
}

/** What to read off first: the unread position nearest to the bus decides most. */
function howToFindOut({ boat }: Walk, { unread, unseen }: Chain): string {
  const [first] = unread;
  if (first !== undefined) {
    const part = boat.parts.get(first);
    const what =
      part?.part === 'selector' ? 'where it stands' : 'whether it is open, closed or tripped';
    return `Read off at ${label(boat, first)} ${what}, without turning it, and say so here.`;
  }
  if (unseen.length > 0) {
    const names = inWords(unseen.map((id) => label(boat, id)));
    return `See to the voltage sensor of ${names}, or read the panel's own meter for it.`;
  }
  return 'Have an electrician measure it.';
}

function contradicted({ walk, bus, about }: Asked, clash: string): WhyDead {
  return {
    part: about,
    verdict: 'not known',
    link: null,
    suspects: [],
    sentence: `The readings around ${bus.label} contradict each other, so the chain of its supply cannot be told.`,
    doThis: 'Trust no position that is shown, and have the sensors and the wiring looked at.',
    also: [clash, ...aboutCircuit(walk.boat, about, bus)],
    cautions: [CAUTIONS.neverProvesDead, CAUTIONS.electrician],
  };
}

const aboutCircuit = (boat: Boat, about: PartId, bus: Bus): string[] =>
  about === bus.id ? [] : [`${label(boat, about)} hangs on ${bus.label}.`];

/** Every link that is described reads whole, and yet no voltage arrives. */
function unexplained(asked: Asked): WhyDead {
  const { about } = asked;
  return {
    part: about,
    verdict: 'not known',
    link: null,
    suspects: [],
    sentence: `${deadWords(asked)}, although every link that panelward knows of reads whole.`,
    doThis:
      'One pole of a breaker or a connection may have failed, or the sensor of the bus; have an electrician measure it.',
    also: [],
    cautions: [CAUTIONS.neverProvesDead, CAUTIONS.electrician],
  };
}

/** The bus itself is not read: neither voltage nor none may be claimed. */
function ofUnreadBus(asked: Asked): WhyDead {
  const { walk, bus } = asked;
  const { boat, panel } = walk;
  const chain = chainTo(walk, bus.id);
  const clash = contradictionOn(asked, chain);
  if (clash !== null) return contradicted(asked, clash);
  const where = onLegs(boat, walk.legs, bus.legs);
  const whose =
    asked.about === bus.id ? bus.label : `${bus.label}, where ${label(boat, asked.about)} hangs,`;
  const opening = `Whether ${whose} has voltage${where} is not known (${silence(boat, panel, bus.id)})`;
  const sensor = `A voltage sensor on ${bus.label} would tell.`;
  const isMissing = !panel.points.some((own) => own.of === bus.id && own.quantity === 'volts');
  const [first] = chain.breaks;
  const answer =
    first && chain.breaks.length === 1 && !chain.mayBeWhole
      ? brokenAt(asked, first, `${opening}, but its supply is broken`)
      : undecided(asked, chain, opening);
  return { ...answer, also: [...answer.also, ...(isMissing ? [sensor] : [])] };
}
