/** What feeds what, in words for a person. Pure. */
import type {
  BusState,
  LegState,
  PanelState,
  SelectorState,
  SourceState,
} from '../../daemon/api/contract.ts';
import { texts } from '../texts.ts';

/** Below this a clamp's word may be noise; the rules call it not drawing (`drawingAmps`, 0.5 A). */
const REST_AMPS = 0.5;
const OF_NOTHING = 'nothing';
const OF_NO_VOLTAGE = 'no voltage';
const OF_UNKNOWN = 'unknown';

/** Labels of all parts of a panel by id. */
export function labelsOf(panel: PanelState): ReadonlyMap<string, string> {
  const { sources, selectors, mainSwitches, buses, circuits, batteries } = panel;
  const parts = [sources, selectors, mainSwitches, buses, circuits, batteries].flat();
  return new Map(parts.map(({ id, label }) => [id, label]));
}

/** The label of a part; its id where the panel does not have it. */
export function labelOf(labels: ReadonlyMap<string, string>, id: string): string {
  return labels.get(id) ?? id;
}

function feederKey(bus: BusState): string {
  if (bus.fedByIsKnown) return bus.fedBy === null ? OF_NOTHING : `part ${bus.fedBy}`;
  return liveOf(bus.legs) === 'dead' ? OF_NO_VOLTAGE : OF_UNKNOWN;
}

/** What is certain first: sources in the order of their buses, then what is missing. */
const LAST = ['', OF_NOTHING, OF_NO_VOLTAGE, OF_UNKNOWN];

/** Nothing was ever read on it: there is no sensor that could say what feeds it. */
function isUnseen({ legs, fedByIsKnown }: BusState): boolean {
  return (
    !fedByIsKnown && legs.every(({ volts, amps }) => volts.ageMs === null && amps.ageMs === null)
  );
}

/**
 * One sentence: which source feeds which buses, what is fed by nothing, what is not known. Buses
 * with the same feeder stand together, in the order of the boat file. A bus without any sensor is
 * never news, so it is left out where there is something to say of another.
 */
export function feedingSentence(panel: PanelState): string {
  const labels = labelsOf(panel);
  const groups = new Map<string, BusState[]>();
  const seen = panel.buses.filter((bus) => !isUnseen(bus));
  for (const bus of seen.length > 0 ? seen : panel.buses) {
    const key = feederKey(bus);
    groups.set(key, [...(groups.get(key) ?? []), bus]);
  }
  const rank = ([key]: [string, BusState[]]) => Math.max(0, LAST.indexOf(key));
  const clauses = [...groups]
    .sort((a, b) => rank(a) - rank(b))
    .map(([key, buses]) => {
      const names = texts.list.and(buses.map(({ label }) => label));
      if (key === OF_UNKNOWN) return texts.feeding.unknown(names);
      if (key === OF_NO_VOLTAGE) return texts.feeding.noVoltage(names);
      if (key === OF_NOTHING) return texts.feeding.nothing(names);
      return texts.feeding.feeds(labelOf(labels, key.slice('part '.length)), names);
    });
  const sentence = clauses.length === 0 ? texts.feeding.noBuses : clauses.join('; ');
  return `${sentence.charAt(0).toLocaleUpperCase(texts.locale)}${sentence.slice(1)}.`;
}

/** `Fed by Bow inlet`, `Fed by nothing`, or that it is not known. */
export function fedByText(bus: BusState, labels: ReadonlyMap<string, string>): string {
  if (!bus.fedByIsKnown) return texts.panel.fedByUnknown;
  if (bus.fedBy === null) return texts.panel.fedByNothing;
  return texts.panel.fedBy(labelOf(labels, bus.fedBy));
}

type Legs = readonly Pick<LegState, 'leg' | 'live'>[];

/** A part is live as soon as one of its legs is, and dead only when all of them are. */
export function liveOf(legs: Legs): LegState['live'] {
  if (legs.some(({ live }) => live === 'live')) return 'live';
  return legs.length > 0 && legs.every(({ live }) => live === 'dead') ? 'dead' : 'unknown';
}

/**
 * Whether voltage is seen at a source, and what it feeds; never more than is known. Without voltage
 * it says nothing of what stands connected to it: that is the selectors' matter.
 */
export function sourceText(source: SourceState, labels: ReadonlyMap<string, string>): string {
  const live = liveText(source.legs);
  if (source.feeds.length > 0) {
    const names = texts.list.and(source.feeds.map((id) => labelOf(labels, id)));
    return `${live}; ${texts.panel.feeds(names)}.`;
  }
  if (liveOf(source.legs) === 'dead') return `${live}.`;
  // What charges a battery hangs on no bus; its current says all there is to say.
  if (source.system === 'dc') return `${texts.panel.chargesBattery}.`;
  return `${live}; ${source.feedsIsKnown ? texts.panel.feedsNothing : texts.panel.feedsUnknown}.`;
}

/** An AC source that stands still: no voltage on any leg, and no more current than noise. */
export function isAtRest({ system, legs }: Pick<SourceState, 'system' | 'legs'>): boolean {
  const isStill = ({ amps }: LegState) => amps.value !== null && Math.abs(amps.value) < REST_AMPS;
  return system === 'ac' && liveOf(legs) === 'dead' && legs.every((leg) => isStill(leg));
}

/** Whether voltage is seen on the legs of a source or bus. Not seen is not the same as dead. */
export function liveText(legs: Legs): string {
  const live = legs.filter((leg) => leg.live === 'live');
  if (live.length > 0 && live.length < legs.length) {
    return texts.panel.partlyLive(texts.list.and(live.map(({ leg }) => leg)));
  }
  return texts.panel.live[liveOf(legs)];
}

export type Place = 'here' | 'perhaps' | 'not here';

/** A selector's positions in panel order, each with whether the selector stands there. */
export function placesOf(
  selector: SelectorState,
): { name: string; from: string | null; place: Place }[] {
  return selector.positions.map(({ name, from }) => {
    if (selector.position === name) return { name, from, place: 'here' };
    const isPossible = selector.position === null && selector.possible.includes(name);
    return { name, from, place: isPossible ? 'perhaps' : 'not here' };
  });
}

/** Where a selector stands, as far as the readings allow to say. */
export function standsText(selector: SelectorState): string {
  if (selector.position !== null) return texts.panel.standsOn(selector.position);
  if (selector.possible.length === 0) return texts.panel.standsNowhere;
  return texts.panel.standsOneOf(texts.list.or(selector.possible));
}
