/**
 * More load than a source, bus or breaker is rated for: at once, and continuously (NEC 210.20(A): a
 * load of three hours or more at 80 % of the rating). One alert a part, on its fuller leg or on its
 * total, whichever is worse. Where a breaker is known, its warmth is followed and the time to a
 * likely trip told.
 */
import type { Evident, Finding, Priority } from '../alerts/alert.ts';
import { above, worst } from '../alerts/check.ts';
import type { Check, Level, Verdict } from '../alerts/check.ts';
import type { Boat, LegName } from '../boat/boat.ts';
import type { BreakerWarmth } from '../electrical/index.ts';
import { derive, ratio } from '../panel/known.ts';
import { UNKNOWN } from '../panel/latest.ts';
import type { Known } from '../panel/panel-state.ts';
import { remembering } from './catalogue-rule.ts';
import { loadedParts, totalWords } from './overload-parts.ts';
import type { Loaded } from './overload-parts.ts';
import { follow, timeToTrip, tripEstimate, tripWords } from './overload-warmth.ts';
import type { WarmthMemory } from './overload-warmth.ts';
import { amps, CAUTIONS, legWords, percent, pointsOf } from './rule.ts';
import type { RuleContext } from './rule.ts';
import { keyOf } from './rule-names.ts';

const RULE = 'overload';

/** A part with the warmth of each leg's breaker, in the order of its legs. */
interface Warmed {
  loaded: Loaded;
  warmth: (BreakerWarmth | null)[];
}

interface FullLeg {
  leg: LegName;
  amps: Known;
  warmth: BreakerWarmth | null;
}

/** The leg with the highest current that is known; any leg if none is. */
function fullerLeg({ loaded, warmth }: Warmed): FullLeg {
  const legs = loaded.legs.map((own, i) => ({ ...own, warmth: warmth[i] ?? null }));
  legs.sort((a, b) => (b.amps.value ?? -1) - (a.amps.value ?? -1));
  return legs[0] ?? { leg: '', amps: UNKNOWN, warmth: null };
}

function levels({ boat, standing }: RuleContext, { loaded, warmth }: Warmed): Level[] {
  const { limits } = boat;
  const isLate = !standing.has(`${RULE}.${loaded.id}`) && isReadingLate(boat, loaded);
  const { total, isTold, legs, ampsRated } = loaded;
  const own = legs.map(({ amps: known }) => ratio(known, ampsRated));
  const at = (limit: number, ...ratios: Known[]): Verdict => {
    const clearAt = limit - limits.overloadDeadbandRatio;
    const seen = worst(ratios.map((known) => above(known, limit, clearAt)));
    const verdict = seen === 'raise' && isLate ? 'unknown' : seen;
    // What the source tells is not told here; but an unknown leg keeps an overload from clearing.
    return isTold && verdict !== 'unknown' ? 'clear' : verdict;
  };
  const all: Known[] =
    total === null ? own : [...own, { value: total.ratio, evidence: 'inferred', ageMs: null }];
  const found: Level[] = [
    {
      priority: 'alarm',
      verdict: at(limits.overloadHighRatio, ...all),
      onDelayMs: limits.overloadHighSeconds * 1000,
    },
    {
      priority: 'alarm',
      verdict: isTold ? 'clear' : warmVerdict(limits, loaded, warmth),
      onDelayMs: limits.tripWarmthSeconds * 1000,
    },
    {
      priority: 'warning',
      verdict: at(limits.overloadRatio, ...all),
      onDelayMs: limits.overloadSeconds * 1000,
    },
  ];
  if (loaded.hasContinuousLimit) {
    found.push({
      priority: 'caution',
      verdict: at(limits.continuousRatio, ...own),
      onDelayMs: limits.continuousHours * 3_600_000,
      gapMs: limits.continuousGapSeconds * 1000,
    });
  }
  return found;
}

const intervalsOf = new WeakMap<Boat, Map<string, number>>();

/** Longest interval of the part's current sensors; found once for each boat. */
function intervalMs(boat: Boat, { id, buses }: Loaded): number {
  let intervals = intervalsOf.get(boat);
  if (!intervals) intervalsOf.set(boat, (intervals = new Map()));
  let ms = intervals.get(id);
  if (ms === undefined) {
    const points = pointsOf(boat, id, ...buses).flatMap((point) => boat.points.get(point) ?? []);
    const own = points.filter(({ quantity }) => quantity === 'amps');
    ms = Math.max(SHORTEST_INTERVAL_MS, ...own.map((point) => point.expectedEveryMs));
    intervals.set(id, ms);
  }
  return ms;
}

/** Sensors that speak every second may lose a reading and be late with the next. */
const SHORTEST_INTERVAL_MS = 3000;

/**
 * The next reading is due. A motor's start lasts half a second: a sensor that happens to catch it
 * and then falls silent has not seen an overload, so nothing begins on a reading that is over.
 */
const isReadingLate = (boat: Boat, loaded: Loaded): boolean =>
  loaded.legs.some(({ amps: known }) => (known.ageMs ?? 0) >= intervalMs(boat, loaded));

/** The warmest breaker of the part against the share of a trip that is an alarm. */
function warmVerdict(
  limits: RuleContext['boat']['limits'],
  { legs }: Loaded,
  warmth: readonly (BreakerWarmth | null)[],
): Verdict {
  const verdicts = legs.flatMap(({ amps: known }, i): Verdict[] => {
    const own = warmth[i] ?? null;
    if (own === null) return [];
    const estimate = derive([known], () => tripEstimate(own));
    const clearAt = limits.tripWarmthRatio - limits.tripWarmthDeadbandRatio;
    return [above(estimate, limits.tripWarmthRatio, clearAt)];
  });
  return verdicts.length === 0 ? 'clear' : worst(verdicts);
}

function thresholdOf({ limits }: RuleContext['boat'], priority: Priority): number {
  if (priority === 'caution') return limits.continuousRatio;
  return priority === 'alarm' ? limits.overloadHighRatio : limits.overloadRatio;
}

/** What is overloaded: the leg, the whole, or both; each is named apart. */
function loadWords(loaded: Loaded, full: FullLeg): { what: string; besides: string } {
  const { total, ampsRated, legs } = loaded;
  const where = legWords(full.leg, legs);
  const share = (full.amps.value ?? 0) / ampsRated;
  const onLeg = `${amps(full.amps)} of ${amps(ampsRated)}${where} (${percent(share)})`;
  if (total === null) return { what: onLeg, besides: '' };
  const asWhole = `${totalWords(total)} (${percent(total.ratio)})`;
  if (total.ratio > share) {
    const leg = legs.length > 1 ? `Its fuller leg ${full.leg}` : 'Its leg';
    return {
      what: `${asWhole} in total`,
      besides: ` ${leg} carries ${amps(full.amps)} of ${amps(ampsRated)}.`,
    };
  }
  const besides =
    total.ratio > 1
      ? ` In total it is overloaded too: ${asWhole}.`
      : ` In total it carries ${asWhole}: only the leg is over.`;
  return { what: onLeg, besides: legs.length > 1 && share > 1 ? besides : '' };
}

/** Over its limit just now; else what a heavier load has left in the breaker keeps it raised. */
function isTooMuchNow({ limits }: Boat, loaded: Loaded, full: FullLeg): boolean {
  const { ampsRated, total } = loaded;
  const most = Math.max((full.amps.value ?? 0) / ampsRated, total?.ratio ?? 0);
  return most > limits.overloadRatio;
}

function evidenceOf(loaded: Loaded, full: FullLeg, threshold: number): Evident[] {
  const { total, ampsRated, legs } = loaded;
  const found: Evident[] = [
    {
      what: `Current${legWords(full.leg, legs)}`,
      value: full.amps.value,
      threshold: threshold * ampsRated,
      unit: 'A',
    },
  ];
  if (total !== null) {
    const { value, rated, unit } = total;
    found.push({ what: 'In total', value, threshold: threshold * rated, unit });
  }
  return found;
}

function warmEvidence({ limits }: RuleContext['boat'], { warmth }: FullLeg): Evident[] {
  if (warmth === null || tripEstimate(warmth) < limits.tripWarmthRatio / 2) return [];
  return [
    {
      what: 'Estimated warmth of the breaker, of trip',
      value: Math.round(tripEstimate(warmth) * 100),
      threshold: Math.round(limits.tripWarmthRatio * 100),
      unit: '%',
    },
  ];
}

function describe(context: RuleContext, warmed: Warmed, priority: Priority): Finding {
  const { boat } = context;
  const { loaded } = warmed;
  const { breaker } = loaded;
  const full = fullerLeg(warmed);
  const isContinuous = priority === 'caution';
  const { what, besides } = loadWords(loaded, full);
  const { continuousRatio, continuousHours } = boat.limits;
  const trip = breaker && tripWords(timeToTrip(full.warmth, full.amps.value, breaker.own));
  const inTime =
    trip && breaker ? ` ${trip} That is for ${breaker.name}; a hot one trips earlier.` : '';
  return {
    rule: RULE,
    subject: { part: loaded.id, leg: full.leg },
    priority,
    title: isContinuous
      ? `${loaded.label} has carried more than ${percent(continuousRatio)} for ${continuousHours} hours: ${what}`
      : isTooMuchNow(boat, loaded, full)
        ? `${loaded.label} is overloaded: ${what}`
        : `${loaded.label} was overloaded, and by estimate its breaker is still hot: ${what} now`,
    means: isContinuous
      ? 'A load of three hours and more counts as continuous; breakers, plugs and wires run hot at it and may trip or char.'
      : `${loaded.means}${inTime}${besides}`,
    doThis: loaded.doThis(full.leg),
    cautions: [CAUTIONS.neverProvesDead, CAUTIONS.electrician],
    evidence: [
      ...evidenceOf(loaded, full, thresholdOf(boat, priority)),
      ...(isContinuous ? [] : warmEvidence(boat, full)),
    ],
    confidence: full.amps.evidence === 'measured' ? 'measured' : 'inferred',
    points: pointsOf(boat, loaded.id, ...loaded.buses),
  };
}

/** A generator that carries too much slows down and sags: its overload tells of that as well. */
function explained({ boat }: RuleContext, loaded: Loaded): { explains?: string[] } {
  const { id, legs, ampsRated, total } = loaded;
  const part = boat.parts.get(id);
  if (part?.part !== 'source' || part.kind !== 'generator') return {};
  const isOver = legs.some((leg) => (leg.amps.value ?? 0) > ampsRated) || (total?.ratio ?? 0) > 1;
  if (!isOver) return {};
  return { explains: [keyOf('generator-out-of-class', id), keyOf('generator-dip', id)] };
}

function check(context: RuleContext, loaded: Loaded, memory: WarmthMemory): Check {
  const { breaker } = loaded;
  const warmed: Warmed = {
    loaded,
    warmth: loaded.legs.map(({ leg, amps: known }) =>
      breaker === null
        ? null
        : follow(memory, `${loaded.id}.${leg}`, breaker.own, known.value, context.passedMs),
    ),
  };
  return {
    rule: RULE,
    key: `${RULE}.${loaded.id}`,
    levels: levels(context, warmed),
    offDelayMs: context.boat.limits.overloadClearSeconds * 1000,
    ...explained(context, loaded),
    describe: (priority) => describe(context, warmed, priority),
  };
}

function isWarmth(saved: unknown): saved is WarmthMemory {
  if (typeof saved !== 'object' || saved === null || Array.isArray(saved)) return false;
  return Object.values(saved).every(
    (own: unknown) =>
      typeof own === 'object' && own !== null && 'quick' in own && 'slow' in own && 'amps' in own,
  );
}

export const overload = remembering<WarmthMemory>({
  name: RULE,
  fresh: () => ({}),
  isSound: isWarmth,
  checks: (context, memory) => loadedParts(context).map((loaded) => check(context, loaded, memory)),
});
