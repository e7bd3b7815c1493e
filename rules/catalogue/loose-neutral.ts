/**
 * A loose or open neutral of a two-leg supply: one leg falls when it is loaded and the other rises,
 * while the sum of both stays. Two legs that carry the same load hide it, so what a step of load
 * once showed is remembered until later steps say otherwise.
 */
import * as z from 'zod';
import type { Finding, Priority } from '../alerts/alert.ts';
import type { Check, Level, Verdict } from '../alerts/check.ts';
import type { Source } from '../boat/boat.ts';
import { neutralOhmsEstimate } from '../electrical/neutral-fault.ts';
import type { SourceState } from '../panel/panel-state.ts';
import { remembering } from './catalogue-rule.ts';
import { legAlone, medianOf, samplesSchema, takeStep } from './load-steps.ts';
import type { LoadStep } from './load-steps.ts';
import { CAUTIONS, pointsOf } from './rule.ts';
import type { RuleContext } from './rule.ts';
import { keyOf } from './rule-names.ts';
import type { RuleName } from './rule-names.ts';
import { voltsOfLegs } from './voltage-words.ts';

const RULE = 'loose-neutral';

const coupledSchema = z.object({
  /** Volts that the other leg rises for each ampere on the first. */
  ohms: z.number(),
  /** So large and clear that it needs no second step. */
  isPlain: z.boolean(),
  amps: z.number(),
  rise: z.number(),
});

const neutralSchema = z.object({
  samples: samplesSchema,
  /** The newest steps on one leg alone, oldest first. */
  steps: z.array(coupledSchema),
  /** Slow mean of the volts of both legs together. */
  sumVolts: z.number().nullable(),
  deadSinceMs: z.number().nullable(),
});

const memorySchema = z.record(z.string(), neutralSchema);
type Memory = z.infer<typeof memorySchema>;
type Neutral = z.infer<typeof neutralSchema>;
type Coupled = z.infer<typeof coupledSchema>;

const KEPT = 7;
/** A plain step lifts the other leg by this share of nominal at least, and the sum by no more. */
const PLAIN_RISE_RATIO = 0.02;
const SUM_STEADY_RATIO = 0.025;
const SUM_MEAN_MS = 600_000;
/** After so long without voltage the supply may be another one. */
const FORGET_MS = 3_600_000;

function coupled(step: LoadStep, nominal: number, plainOhms: number): Coupled | null {
  const leg = legAlone(step);
  if (leg === null || step.volts.length !== 2) return null;
  const amps = step.amps[leg] ?? 0;
  const own = step.volts[leg] ?? 0;
  const other = step.volts[1 - leg] ?? 0;
  const ohms = other / amps;
  const isPlain =
    ohms >= plainOhms &&
    Math.abs(other) >= PLAIN_RISE_RATIO * nominal &&
    // The loaded leg loses what the other wins, and its own cord's drop besides.
    -own / amps >= 0.7 * ohms &&
    Math.abs(own + other) <= SUM_STEADY_RATIO * nominal;
  return { ohms, isPlain, amps: Math.abs(amps), rise: Math.abs(other) };
}

/**
 * Ohms from where it is an emergency. A generator's regulator that holds the mean of both legs
 * lifts the unloaded one as well, by up to a tenth of nominal at rated current (common practice).
 */
function emergencyOhms({ boat }: RuleContext, source: Source): number {
  const stated = boat.limits.neutralEmergencyOhms;
  if (source.kind === 'shore inlet') return stated;
  return Math.max(stated, (0.15 * (boat.ac?.volts ?? 0)) / source.ampsRated);
}

function note(context: RuleContext, source: Source, state: SourceState, memory: Neutral): void {
  const { boat, nowMs, passedMs } = context;
  const nominal = boat.ac?.volts ?? 0;
  const step = takeStep(context, state, memory.samples);
  const found = step && coupled(step, nominal, emergencyOhms(context, source));
  if (found) memory.steps = [...memory.steps.slice(1 - KEPT), found];
  if (state.legs.some((leg) => leg.live === 'live')) memory.deadSinceMs = null;
  else if (state.legs.every((leg) => leg.live === 'dead')) memory.deadSinceMs ??= nowMs;
  if (memory.deadSinceMs !== null && nowMs - memory.deadSinceMs > FORGET_MS) memory.steps = [];
  const [first, second] = state.legs.map((leg) => leg.volts.value);
  if (typeof first !== 'number' || typeof second !== 'number') return;
  const sum = first + second;
  const share = 1 - Math.exp(-passedMs / SUM_MEAN_MS);
  memory.sumVolts =
    memory.sumVolts === null ? sum : memory.sumVolts + share * (sum - memory.sumVolts);
}

/** What the steps show, in ohms of the neutral; null where they show nothing yet. */
function ohmsShown({ steps }: Neutral): number | null {
  const last = steps.at(-1);
  if (last?.isPlain) return last.ohms;
  const newest = steps.slice(-3).map((own) => own.ohms);
  if (newest.length < 3) {
    // A plain step stands until three others say otherwise.
    return steps.findLast((own) => own.isPlain)?.ohms ?? null;
  }
  return medianOf(newest);
}

const band = (value: number | null, limit: number): Verdict => {
  if (value === null) return 'clear';
  if (value >= limit) return 'raise';
  return value < 0.7 * limit ? 'clear' : 'hold';
};

/** One leg is too high while the other is clearly lower. */
function legHigh({ boat }: RuleContext, state: SourceState): Verdict {
  const nominal = boat.ac?.volts ?? 0;
  const volts = state.legs.map((leg) => leg.volts.value);
  const [first, second] = volts;
  if (typeof first !== 'number' || typeof second !== 'number') return 'unknown';
  const high = Math.max(first, second) / nominal;
  const low = Math.min(first, second) / nominal;
  // The other leg without any voltage is a pole that failed, and this one a high supply.
  const isApart = high - low >= boat.limits.neutralSplitRatio && low > 0.05;
  if (high > boat.limits.neutralLegHighRatio && isApart) return 'raise';
  return high > boat.limits.neutralLegHighRatio - 0.02 && isApart ? 'hold' : 'clear';
}

/** Ohms of the neutral by the standing difference of volts and currents; null where it says nothing. */
function ohmsStanding({ boat }: RuleContext, state: SourceState, memory: Neutral): number | null {
  const nominal = boat.ac?.volts ?? 0;
  const [one, two] = state.legs;
  const values = [one?.volts, two?.volts, one?.amps, two?.amps].map((own) => own?.value ?? null);
  const [v1, v2, i1, i2] = values;
  if (typeof v1 !== 'number' || typeof v2 !== 'number' || memory.sumVolts === null) return null;
  if (typeof i1 !== 'number' || typeof i2 !== 'number') return null;
  if (Math.abs(v1 - v2) <= boat.limits.neutralSplitRatio * nominal) return 0;
  if (Math.abs(v1 + v2 - memory.sumVolts) > SUM_STEADY_RATIO * nominal) return null;
  return neutralOhmsEstimate([v1, v2], [i1, i2], 5);
}

function levels(
  context: RuleContext,
  source: Source,
  state: SourceState,
  memory: Neutral,
): Level[] {
  const { limits } = context.boat;
  const emergency = emergencyOhms(context, source);
  const shown = ohmsShown(memory);
  const standing = ohmsStanding(context, state, memory);
  // It holds the source's own resistance as well, so it says less than a step.
  const standingVerdict: Verdict = standing === null ? 'hold' : band(standing, emergency);
  const isMeasured = state.legs.every((leg) => leg.volts.value !== null);
  const caution = source.kind === 'shore inlet' ? limits.neutralCautionOhms : emergency;
  const many = memory.steps.length >= 5 ? medianOf(memory.steps.map((own) => own.ohms)) : null;
  return [
    {
      priority: 'emergency alarm',
      verdict: legHigh(context, state),
      onDelayMs: limits.neutralLegHighSeconds * 1000,
    },
    {
      priority: 'emergency alarm',
      verdict: isMeasured ? band(shown, emergency) : 'unknown',
      onDelayMs: 0,
    },
    {
      priority: 'warning',
      verdict: isMeasured ? standingVerdict : 'unknown',
      onDelayMs: limits.neutralSplitSeconds * 1000,
    },
    { priority: 'caution', verdict: isMeasured ? band(many, caution) : 'unknown', onDelayMs: 0 },
  ];
}

function describe(
  context: RuleContext,
  source: Source,
  state: SourceState,
  memory: Neutral,
  priority: Priority,
): Finding {
  const { boat } = context;
  const nominal = boat.ac?.volts ?? 0;
  const shown = ohmsShown(memory);
  const last = memory.steps.findLast((own) => own.isPlain) ?? memory.steps.at(-1);
  const isEmergency = priority === 'emergency alarm';
  const seen =
    last && last.ohms > 0
      ? ` When one leg took ${last.amps.toFixed(0)} A, the other rose by ${last.rise.toFixed(1)} V.`
      : '';
  const where =
    source.kind === 'shore inlet'
      ? 'The cause lies in the plug, the cord, the dock or the feed to the panel; the same on another inlet or a generator would put it aboard.'
      : 'The cause lies in the generator’s own connections or in the feed to the panel.';
  const shownLimit = isEmergency ? emergencyOhms(context, source) : boat.limits.neutralCautionOhms;
  return {
    rule: RULE,
    subject: { part: source.id },
    priority,
    title: isEmergency
      ? `The neutral of ${source.label} looks loose: one leg rises as the other is loaded`
      : `The neutral of ${source.label} may be getting loose`,
    means: `Without a good neutral one leg can rise towards ${(2 * nominal).toFixed(0)} V and destroy whatever runs on it; legs that happen to carry the same load hide it.${seen} ${where}`,
    doThis: isEmergency
      ? 'Switch sensitive loads off, then the supply at its own breaker. Do not switch it on again before plug, cord and neutral have been looked at.'
      : 'Have plug, cord and neutral connections looked at soon; until then load both legs about alike.',
    cautions: [CAUTIONS.shorePlug, CAUTIONS.neverProvesDead, CAUTIONS.electrician],
    evidence: [
      ...voltsOfLegs(state, nominal * boat.limits.neutralLegHighRatio),
      {
        what: 'Rise of one leg for each ampere on the other',
        value: shown === null ? null : Math.round(shown * 1000) / 1000,
        threshold: shownLimit,
        unit: 'V/A',
      },
    ],
    confidence: 'measured',
    points: pointsOf(boat, source.id),
    ...(isEmergency && { needsInspection: true }),
  };
}

/** What follows from it. The lower leg of an open neutral may read as dead as one that is lost. */
function explained({ id, kind }: Source, isHigh: boolean): string[] {
  const always: readonly RuleName[] =
    kind === 'shore inlet'
      ? ['high-voltage', 'low-voltage', 'connection-going-bad', 'connection-flickers']
      : kind === 'generator'
        ? ['generator-out-of-class']
        : [];
  const whileHigh: readonly RuleName[] =
    isHigh && kind === 'shore inlet' ? ['shore-power-lost', 'weak-supply'] : [];
  return [
    ...[...always, ...whileHigh].map((rule) => keyOf(rule, id)),
    // A leg that reads dead and delivers current would look like a sensor that is wrong.
    ...(isHigh ? [keyOf('contradiction')] : []),
  ];
}

function check(context: RuleContext, source: Source, state: SourceState, memory: Neutral): Check {
  note(context, source, state, memory);
  const own = levels(context, source, state, memory);
  const { id } = source;
  const isHigh = own[0]?.verdict === 'raise';
  return {
    rule: RULE,
    key: `${RULE}.${id}`,
    levels: own,
    offDelayMs: context.boat.limits.neutralClearMinutes * 60_000,
    explains: explained(source, isHigh),
    describe: (priority) => describe(context, source, state, memory, priority),
  };
}

export const looseNeutral = remembering<Memory>({
  name: RULE,
  fresh: () => ({}),
  isSound: (saved): saved is Memory => memorySchema.safeParse(saved).success,
  checks: (context, memory) =>
    context.boat.sources.flatMap((source) => {
      const state = context.panel.sources.find((own) => own.id === source.id);
      if (source.system !== 'ac' || source.legs.length !== 2 || !state) return [];
      const own = (memory[source.id] ??= {
        samples: [],
        steps: [],
        sumVolts: null,
        deadSinceMs: null,
      });
      return [check(context, source, state, own)];
    }),
});
