/**
 * A circuit that others require grows weaker while it still runs: a pump behind a strainer that
 * clogs. Its watts tell it plainly; its amperes hardly move, since its power factor falls with the
 * load, so without a watt meter the circuits that require it must creep up as well.
 */
import type { Evident, Finding, Priority } from '../alerts/alert.ts';
import type { Check, Verdict } from '../alerts/check.ts';
import type { Boat, Circuit, PartId } from '../boat/boat.ts';
import { median } from '../panel/habit-memory.ts';
import { byId } from '../panel/lookup.ts';
import { inWords } from '../panel/reasons.ts';
import { remembering } from './catalogue-rule.ts';
import { requiredCircuits } from './required-circuits.ts';
import type { Required } from './required-circuits.ts';
import { CAUTIONS, circuitState, isRunning, percent, placeWords, pointsOf } from './rule.ts';
import type { RuleContext } from './rule.ts';
import { addRunning, freshRunningDays, recentMean, usual } from './running-days.ts';
import type { RunningDays, RunningMean } from './running-days.ts';

const RULE = 'weak-prerequisite';

/** Usual is a good day, not a middling one: a slow clogging must not become its own measure. */
const GOOD_DAY = 0.75;
/** Of a change that raises it, so much must be left for it to hold. */
const DEADBAND_RATIO = 0.66;
/** A longer step between two evaluations was no watching. */
const STEP_MOST_MS = 300_000;
const CLEAR_MS = 600_000;

type Memory = Record<PartId, RunningDays>;

/** Volts across the legs of the circuit, by its bus; null where they are not known. */
function voltsOf({ panel }: RuleContext, circuit: Circuit): number | null {
  const bus = byId(panel.buses, circuit.bus);
  let sum = 0;
  for (const leg of bus?.legs ?? []) {
    if (!circuit.legs.includes(leg.leg)) continue;
    if (leg.volts.value === null) return null;
    sum += leg.volts.value;
  }
  return sum === 0 ? null : sum;
}

function note(context: RuleContext, circuit: Circuit, memory: Memory): void {
  const state = circuitState(context.panel, circuit.id);
  const { passedMs, nowMs } = context;
  if (state?.habits.phase !== 'running' || state.amps.value === null) return;
  if (passedMs <= 0 || passedMs > STEP_MOST_MS) return;
  const mean: RunningMean = {
    amps: state.amps.value,
    watts: state.watts.evidence === 'measured' ? state.watts.value : null,
    volts: voltsOf(context, circuit),
  };
  addRunning((memory[circuit.id] ??= freshRunningDays()), mean, passedMs, nowMs);
}

/** Amperes as they would be at nominal volts; a motor at its load draws more as the volts fall. */
function nominalAmps(boat: Boat, circuit: Circuit, mean: RunningMean): number | null {
  const nominal = ((circuit.system === 'ac' ? boat.ac : boat.dc)?.volts ?? 0) * circuit.legs.length;
  return mean.volts === null || nominal === 0 ? null : (mean.amps * mean.volts) / nominal;
}

interface Change {
  usual: number;
  recent: number;
  /** Positive: more than usual. */
  ratio: number;
}

function change(
  own: RunningDays | undefined,
  pick: (mean: RunningMean) => number | null,
  share: number,
): Change | null {
  const mean = own && recentMean(own);
  const recent = mean ? pick(mean) : null;
  const before = own ? usual(own, pick, share) : null;
  if (recent === null || before === null || before <= 0) return null;
  return { usual: before, recent, ratio: recent / before - 1 };
}

interface Weakness {
  watts: Change | null;
  amps: Change | null;
  /** Median change of those that require it, in amperes at nominal volts. */
  creep: number | null;
}

function weakness({ boat }: RuleContext, own: Required, memory: Memory): Weakness {
  const ampsAt = (circuit: Circuit) => (mean: RunningMean) => nominalAmps(boat, circuit, mean);
  const creeps = own.dependents
    .map((circuit) => change(memory[circuit.id], ampsAt(circuit), 1 - GOOD_DAY))
    .flatMap((found) => (found === null ? [] : [found.ratio]));
  const days = memory[own.required.id];
  return {
    watts: change(days, (mean) => mean.watts, GOOD_DAY),
    amps: change(days, ampsAt(own.required), GOOD_DAY),
    creep: median(creeps),
  };
}

/** `raise` once `value` has reached `limit`, `clear` where it has fallen well below. */
function reached(value: number, limit: number): Verdict {
  if (value >= limit) return 'raise';
  return value < limit * DEADBAND_RATIO ? 'clear' : 'hold';
}

function trend({ boat: { limits } }: RuleContext, { watts, amps, creep }: Weakness): Verdict {
  if (watts !== null) return reached(-watts.ratio, limits.weakWattsRatio);
  if (amps === null || creep === null) return 'clear';
  const both = [
    reached(-amps.ratio, limits.weakAmpsRatio),
    reached(creep, limits.weakCreepRatio),
  ] as const;
  if (both.includes('clear')) return 'clear';
  return both.includes('hold') ? 'hold' : 'raise';
}

/** Its watts at this instant against its usual ones: runs dry, or against a closed valve. */
function dry(context: RuleContext, required: Circuit, days: RunningDays | undefined): Verdict {
  const { boat, panel } = context;
  const state = circuitState(panel, required.id);
  const before = days ? usual(days, (mean) => mean.watts, GOOD_DAY) : null;
  if (!state || before === null) return 'clear';
  const runs = isRunning(boat, required, state);
  if (runs === null || state.watts.value === null) return 'unknown';
  if (!runs || state.watts.evidence !== 'measured') return 'clear';
  if (state.habits.phase === 'starting') return 'hold';
  return reached(1 - state.watts.value / before, boat.limits.dryWattsRatio);
}

function describe(
  context: RuleContext,
  { required, dependents }: Required,
  { watts, amps, creep }: Weakness,
  priority: Priority,
): Finding {
  const { boat, panel } = context;
  const { limits } = boat;
  const isDry = priority === 'warning';
  const now = circuitState(panel, required.id)?.watts.value ?? null;
  const recent = isDry ? now : (watts?.recent ?? null);
  const fall =
    watts === null
      ? `${(amps?.usual ?? 0).toFixed(2)} A before, ${(amps?.recent ?? 0).toFixed(2)} A now`
      : `${Math.round(watts.usual)} W usually, ${recent === null ? 'unknown' : Math.round(recent)} W now`;
  const others = inWords(dependents.map((own) => own.label));
  const rise =
    creep !== null && creep > 0
      ? ` ${others} ${dependents.length > 1 ? 'draw' : 'draws'} ${percent(creep)} more than usual.`
      : '';
  const evidence: Evident[] = [];
  if (watts) {
    const limit = isDry ? limits.dryWattsRatio : limits.weakWattsRatio;
    evidence.push({
      what: `Watts of ${required.label}`,
      value: recent === null ? null : Math.round(recent),
      threshold: Math.round(watts.usual * (1 - limit)),
      unit: 'W',
    });
  } else if (amps) {
    evidence.push({
      what: `Current of ${required.label} at nominal volts`,
      value: amps.recent,
      threshold: amps.usual * (1 - limits.weakAmpsRatio),
      unit: 'A',
    });
  }
  if (creep !== null) {
    evidence.push({
      what: 'Rise of what requires it',
      value: Math.round(creep * 100),
      threshold: limits.weakCreepRatio * 100,
      unit: '%',
    });
  }
  return {
    rule: RULE,
    subject: { part: required.id },
    priority,
    title: isDry
      ? `${required.label} runs without its load: ${fall}`
      : `${required.label} is getting weaker: ${fall}`,
    means: `${isDry ? 'So much less power is what a pump takes that runs dry or against a closed valve.' : 'A pump that moves less water takes less power: a strainer that clogs, most often.'}${rise}`,
    doThis: `${isDry ? `Switch off ${others}, then see to ${required.label}` : `Clean the strainer of ${required.label}`}${placeWords(required)}: valve, strainer, hoses.${required.note === undefined ? '' : ` ${required.note}`}`,
    cautions: [CAUTIONS.rotating, CAUTIONS.neverProvesDead],
    evidence,
    confidence: isDry ? 'measured' : 'inferred',
    points: pointsOf(boat, required.id, ...dependents.map((own) => own.id)),
  };
}

function check(context: RuleContext, own: Required, memory: Memory): Check {
  const { limits } = context.boat;
  const found = weakness(context, own, memory);
  return {
    rule: RULE,
    key: `${RULE}.${own.required.id}`,
    levels: [
      {
        priority: 'warning',
        verdict: dry(context, own.required, memory[own.required.id]),
        onDelayMs: limits.drySeconds * 1000,
      },
      {
        priority: 'caution',
        verdict: trend(context, found),
        onDelayMs: limits.weakHours * 3_600_000,
      },
    ],
    offDelayMs: CLEAR_MS,
    describe: (priority) => describe(context, own, found, priority),
  };
}

const isObject = (value: unknown): value is Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

export const weakPrerequisite = remembering<Memory>({
  name: RULE,
  fresh: () => ({}),
  isSound: (saved): saved is Memory =>
    isObject(saved) &&
    Object.values(saved).every(
      (own) => isObject(own) && isObject(own['today']) && Array.isArray(own['days']),
    ),
  checks(context, memory) {
    const required = requiredCircuits(context.boat);
    const involved = new Set(required.flatMap((own) => [own.required, ...own.dependents]));
    for (const circuit of involved) note(context, circuit, memory);
    return required.map((own) => check(context, own, memory));
  },
});
