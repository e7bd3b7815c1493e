/**
 * More current than a source, bus or breaker is rated for: at once, and continuously (NEC
 * 210.20(A): a load of three hours or more at 80 % of the rating). One alert a part, on its fuller
 * leg. A bus behind a source with no larger rating leaves the matter to the source.
 */
import type { Finding, Priority } from '../alerts/alert.ts';
import { above, worst } from '../alerts/check.ts';
import type { Check, Level, Verdict } from '../alerts/check.ts';
import type { Breaker, Bus, Circuit, LegName, Source } from '../boat/boat.ts';
import { continuousRatioOf, tripPromise } from '../electrical/index.ts';
import { ratio } from '../panel/known.ts';
import { byId } from '../panel/lookup.ts';
import type { BusState, Known, LegState } from '../panel/panel-state.ts';
import { amps, CAUTIONS, legWords, percent, pointsOf } from './rule.ts';
import type { Rule, RuleContext } from './rule.ts';
import { easiestToDrop } from './shedding.ts';

const RULE = 'overload';

/** One part's load against its rating, on its fuller leg. */
interface Loaded {
  id: string;
  label: string;
  /** Current of the fuller leg, for the words. */
  amps: Known;
  /** Current of every leg, for the judgement: an unknown leg keeps an overload from clearing. */
  legAmps: Known[];
  ampsRated: number;
  leg: LegName;
  legs: readonly unknown[];
  /** Whether 80 % for hours is too much for it. */
  hasContinuousLimit: boolean;
  means: () => string;
  buses: string[];
  /** Asked only where it is told. */
  doThis: () => string;
}

/** The leg with the highest current that is known; any leg if none is. */
function fullerLeg(legs: readonly LegState[]): LegState | undefined {
  return [...legs].sort((a, b) => (b.amps.value ?? -1) - (a.amps.value ?? -1))[0];
}

function levels({ boat }: RuleContext, loaded: Loaded): Level[] {
  const limits = boat.limits;
  const ratios = loaded.legAmps.map((own) => ratio(own, loaded.ampsRated));
  const at = (limit: number): Verdict =>
    worst(ratios.map((own) => above(own, limit, limit - limits.overloadDeadbandRatio)));
  const own: Level[] = [
    {
      priority: 'alarm',
      verdict: at(limits.overloadHighRatio),
      onDelayMs: limits.overloadHighSeconds * 1000,
    },
    {
      priority: 'warning',
      verdict: at(limits.overloadRatio),
      onDelayMs: limits.overloadSeconds * 1000,
    },
  ];
  if (loaded.hasContinuousLimit) {
    own.push({
      priority: 'caution',
      verdict: at(limits.continuousRatio),
      onDelayMs: limits.continuousHours * 3_600_000,
      gapMs: limits.continuousGapSeconds * 1000,
    });
  }
  return own;
}

function describe(context: RuleContext, loaded: Loaded, priority: Priority): Finding {
  const { boat } = context;
  const isContinuous = priority === 'caution';
  const where = legWords(loaded.leg, loaded.legs);
  const share = (loaded.amps.value ?? 0) / loaded.ampsRated;
  const of = `${amps(loaded.amps)} of ${amps(loaded.ampsRated)}${where}`;
  const threshold = isContinuous
    ? boat.limits.continuousRatio
    : priority === 'alarm'
      ? boat.limits.overloadHighRatio
      : boat.limits.overloadRatio;
  return {
    rule: RULE,
    subject: { part: loaded.id, leg: loaded.leg },
    priority,
    title: isContinuous
      ? `${loaded.label} has carried more than ${percent(boat.limits.continuousRatio)} for ${boat.limits.continuousHours} hours: ${of}`
      : `${loaded.label} is overloaded: ${of} (${percent(share)})`,
    means: isContinuous
      ? 'A load of three hours and more counts as continuous; breakers, plugs and wires run hot at it and may trip or char.'
      : loaded.means(),
    doThis: loaded.doThis(),
    cautions: [CAUTIONS.neverProvesDead, CAUTIONS.electrician],
    evidence: [
      {
        what: `Current${where}`,
        value: loaded.amps.value,
        threshold: threshold * loaded.ampsRated,
        unit: 'A',
      },
    ],
    confidence: loaded.amps.evidence === 'measured' ? 'measured' : 'inferred',
    points: pointsOf(boat, loaded.id, ...loaded.buses),
  };
}

/** A generator that carries too much slows down and sags: its overload tells of that as well. */
function explained(loaded: Loaded): { explains?: string[] } {
  if ((loaded.amps.value ?? 0) <= loaded.ampsRated) return {};
  return { explains: [`generator-out-of-class.${loaded.id}`, `generator-dip.${loaded.id}`] };
}

const check = (context: RuleContext, loaded: Loaded): Check => ({
  rule: RULE,
  key: `${RULE}.${loaded.id}`,
  levels: levels(context, loaded),
  offDelayMs: context.boat.limits.overloadClearSeconds * 1000,
  ...explained(loaded),
  describe: (priority) => describe(context, loaded, priority),
});

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
  const state = panel.sources.find((own) => own.id === source.id);
  const leg = state && fullerLeg(state.legs);
  if (means === undefined || !leg) return null;
  const isNorthAmerican = boat.ac?.hertz === 60;
  return {
    id: source.id,
    label: source.label,
    amps: leg.amps,
    legAmps: state.legs.map((own) => own.amps),
    ampsRated: source.ampsRated,
    leg: leg.leg,
    legs: state.legs,
    hasContinuousLimit: source.kind === 'shore inlet' && isNorthAmerican,
    means: () => means,
    buses: state.feeds,
    doThis: () => easiestToDrop(context, state.feeds, state.legs.length > 1 ? leg.leg : null),
  };
}

/** The smaller of the bus bar's rating and the breaker of the main switch right above it. */
function busLoaded(context: RuleContext, bus: Bus): Loaded | null {
  const { boat, panel } = context;
  const state = byId(panel.buses, bus.id);
  const leg = state && fullerLeg(state.legs);
  const main = byId(boat.mainSwitches, bus.from);
  const breaker: Breaker | undefined = main?.breaker;
  const rated = Math.min(bus.ampsRated ?? Infinity, breaker?.ampsRated ?? Infinity);
  if (!leg || !Number.isFinite(rated)) return null;
  const isTold = isToldAtSource(context, state, rated);
  return {
    id: bus.id,
    label: bus.label,
    amps: leg.amps,
    legAmps: state.legs.map((own) => (isTold ? { ...own.amps, value: 0 } : own.amps)),
    ampsRated: rated,
    leg: leg.leg,
    legs: state.legs,
    hasContinuousLimit: continuousRatioOf(breaker?.kind ?? 'IEC C') < 1,
    means: () =>
      breaker
        ? `${main?.label ?? 'Its main switch'} may trip and everything on the bus with it.`
        : 'The bus and its feeder run hot.',
    buses: [bus.id],
    doThis: () => easiestToDrop(context, [bus.id], state.legs.length > 1 ? leg.leg : null),
  };
}

/** Whether the same current meets a rating no larger at the source, which then has the alert. */
function isToldAtSource({ boat, panel }: RuleContext, bus: BusState, ampsRated: number): boolean {
  const source = boat.sources.find((own) => own.id === bus.fedBy);
  const state = panel.sources.find((own) => own.id === bus.fedBy);
  if (!source || !state || source.ampsRated > ampsRated) return false;
  return state.legs.every((leg) => leg.amps.value !== null);
}

function circuitLoaded({ panel }: RuleContext, circuit: Circuit): Loaded | null {
  const state = byId(panel.circuits, circuit.id);
  const [leg] = circuit.legs;
  if (!state || leg === undefined) return null;
  return {
    id: circuit.id,
    label: circuit.label,
    amps: state.amps,
    legAmps: [state.amps],
    ampsRated: circuit.breaker.ampsRated,
    leg,
    legs: [leg],
    hasContinuousLimit: continuousRatioOf(circuit.breaker.kind) < 1,
    means: () => breakerWords(circuit.breaker, state.amps.value),
    buses: [],
    doThis: () =>
      `Use less on ${circuit.label}, or switch it off and find out why it draws so much.`,
  };
}

function breakerWords(breaker: Breaker, amperes: number | null): string {
  const promise = amperes === null ? null : tripPromise(breaker, amperes);
  const start = `Its ${breaker.ampsRated} A ${breaker.kind === 'fuse' ? 'fuse' : 'breaker'}`;
  if (promise?.verdict === 'must trip') {
    const minutes = Math.ceil(promise.withinSeconds / 60);
    return `${start} should trip within ${minutes} min at this current; the wire behind it runs hot.`;
  }
  return `${start} may trip at any time; the wire behind it runs hot.`;
}

export const overload: Rule = (context) => {
  const { boat } = context;
  const loaded = [
    ...boat.sources.map((source) => sourceLoaded(context, source)),
    ...boat.buses.map((bus) => busLoaded(context, bus)),
    ...boat.circuits.map((circuit) => circuitLoaded(context, circuit)),
  ];
  return loaded.flatMap((own) => (own ? [check(context, own)] : []));
};
