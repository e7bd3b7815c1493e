/**
 * What can be overloaded: sources, buses behind their main switch, and circuits, each with its
 * ratings. A bus behind a source with no larger rating leaves the matter to the source.
 */
import type { Breaker, Bus, Circuit, LegName, Source } from '../boat/boat.ts';
import { continuousRatioOf, generatorLoading } from '../electrical/index.ts';
import { byId } from '../panel/lookup.ts';
import type { BusState, Known, SourceState } from '../panel/panel-state.ts';
import { circuitState } from './rule.ts';
import type { RuleContext } from './rule.ts';
import { easiestToDrop } from './shedding.ts';

/** Load of a whole source against a rating of its own, besides its legs. */
export interface Total {
  ratio: number;
  value: number;
  rated: number;
  unit: 'kW' | 'kVA';
}

/** `5.4 kW of 5.0 kW`. */
export const totalWords = ({ value, rated, unit }: Total): string =>
  `${value.toFixed(1)} ${unit} of ${rated.toFixed(1)} ${unit}`;

/** One part's load against its rating. */
export interface Loaded {
  id: string;
  label: string;
  legs: { leg: LegName; amps: Known }[];
  ampsRated: number;
  /** The fullest of its total ratings, where it has any and its load is known. */
  total: Total | null;
  /** Breaker that protects each leg, and how it is called; null where none is known. */
  breaker: { own: Breaker; name: string } | null;
  /** The same current meets a rating no larger at the source, which has the alert. */
  isTold: boolean;
  /** Whether 80 % for hours is too much for it. */
  hasContinuousLimit: boolean;
  means: string;
  buses: string[];
  doThis(leg: LegName | null): string;
}

const SOURCE_MEANS: Partial<Record<Source['kind'], string>> = {
  'shore inlet':
    'The breaker on the dock may trip and leave the boat without shore power; cord, plug and inlet run hot.',
  generator:
    'The generator may trip or stall; its voltage and frequency sag, which harms motors and electronics.',
  inverter: 'The inverter may shut down and leave everything it feeds without power.',
};

/** Shore cords and North American breakers have a continuous limit; IEC breakers carry their rating. */
function sourceLoaded(context: RuleContext, source: Source): Loaded | null {
  const { boat, panel } = context;
  const means = SOURCE_MEANS[source.kind];
  const state = byId(panel.sources, source.id);
  if (means === undefined || !state || state.legs.length === 0) return null;
  const isShore = source.kind === 'shore inlet';
  const isNorthAmerican = boat.ac?.hertz === 60;
  return {
    id: source.id,
    label: source.label,
    legs: state.legs,
    ampsRated: source.ampsRated,
    total: totalOf(context, source, state),
    breaker: isShore ? dockBreaker(source, isNorthAmerican) : null,
    isTold: false,
    hasContinuousLimit: isShore && isNorthAmerican,
    means,
    buses: state.feeds,
    doThis: (leg) => easiestToDrop(context, state.feeds, state.legs.length > 1 ? leg : null),
  };
}

const docks = new WeakMap<Source, NonNullable<Loaded['breaker']>>();

/** Common practice: the dock's breaker has the rating of the inlet. Its kind goes by the region. */
function dockBreaker(source: Source, isNorthAmerican: boolean): NonNullable<Loaded['breaker']> {
  let dock = docks.get(source);
  if (!dock) {
    const { ampsRated } = source;
    const own: Breaker = { ampsRated, kind: isNorthAmerican ? 'UL 489' : 'IEC C' };
    dock = { own, name: `a dock breaker of ${ampsRated} A` };
    docks.set(source, dock);
  }
  return dock;
}

/** Real power only where it is measured: volts times amperes are volt-amperes, and have a rating of their own. */
function totalOf({ boat }: RuleContext, source: Source, state: SourceState): Total | null {
  const totals: Total[] = [];
  const add = (unit: Total['unit'], own: number, rated: number): void => {
    totals.push({ ratio: own / rated, value: own / 1000, rated: rated / 1000, unit });
  };
  if ('wattsRated' in source && state.watts.value !== null && state.watts.evidence === 'measured') {
    add('kW', state.watts.value, source.wattsRated);
  }
  const volts = boat.ac?.volts;
  if (source.kind === 'generator' && volts !== undefined) {
    const legAmps = state.legs.flatMap(({ amps }) => (amps.value === null ? [] : [amps.value]));
    const loading =
      legAmps.length < state.legs.length ? null : generatorLoading(source, volts, legAmps);
    if (loading) add('kVA', loading.voltAmpsRatio * source.voltAmpsRated, source.voltAmpsRated);
  }
  return totals.sort((a, b) => b.ratio - a.ratio)[0] ?? null;
}

/** The smaller of the bus bar's rating and the breaker of the main switch right above it. */
function busLoaded(context: RuleContext, bus: Bus): Loaded | null {
  const { boat, panel } = context;
  const state = byId(panel.buses, bus.id);
  const main = byId(boat.mainSwitches, bus.from);
  const breaker = main?.breaker;
  const rated = Math.min(bus.ampsRated ?? Infinity, breaker?.ampsRated ?? Infinity);
  if (!state || state.legs.length === 0 || !Number.isFinite(rated)) return null;
  return {
    id: bus.id,
    label: bus.label,
    legs: state.legs,
    ampsRated: rated,
    total: null,
    breaker: breaker && main ? { own: breaker, name: `the breaker of ${main.label}` } : null,
    isTold: isToldAtSource(context, state, rated),
    hasContinuousLimit: continuousRatioOf(breaker?.kind ?? 'IEC C') < 1,
    means: breaker
      ? `${main?.label ?? 'Its main switch'} may trip and everything on the bus with it.`
      : 'The bus and its feeder run hot.',
    buses: [bus.id],
    doThis: (leg) => easiestToDrop(context, [bus.id], state.legs.length > 1 ? leg : null),
  };
}

/** Whether the same current meets a rating no larger at the source, which then has the alert. */
function isToldAtSource({ boat, panel }: RuleContext, bus: BusState, ampsRated: number): boolean {
  const source = byId(boat.sources, bus.fedBy ?? '');
  const state = byId(panel.sources, bus.fedBy ?? '');
  if (!source || !state || source.ampsRated > ampsRated) return false;
  return state.legs.every((leg) => leg.amps.value !== null);
}

function circuitLoaded({ panel }: RuleContext, circuit: Circuit): Loaded | null {
  const state = circuitState(panel, circuit.id);
  const [leg] = circuit.legs;
  if (!state || leg === undefined) return null;
  const { breaker } = circuit;
  const isFuse = breaker.kind === 'fuse';
  return {
    id: circuit.id,
    label: circuit.label,
    legs: [{ leg, amps: state.amps }],
    ampsRated: breaker.ampsRated,
    total: null,
    breaker: { own: breaker, name: `its ${breaker.ampsRated} A ${isFuse ? 'fuse' : 'breaker'}` },
    isTold: false,
    hasContinuousLimit: continuousRatioOf(breaker.kind) < 1,
    means: isFuse
      ? `Its ${breaker.ampsRated} A fuse may blow at any time; the wire behind it runs hot.`
      : 'The wire behind its breaker runs hot.',
    buses: [],
    doThis: () =>
      `Use less on ${circuit.label}, or switch it off and find out why it draws so much.`,
  };
}

/** Everything with a rating and a load, sources first. */
export function loadedParts(context: RuleContext): Loaded[] {
  const { boat } = context;
  return [
    ...boat.sources.map((source) => sourceLoaded(context, source)),
    ...boat.buses.map((bus) => busLoaded(context, bus)),
    ...boat.circuits.map((circuit) => circuitLoaded(context, circuit)),
  ].filter((own) => own !== null);
}
