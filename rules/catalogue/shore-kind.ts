/**
 * What kind of supply the boat is plugged into, told once a stay: two legs of a three-phase dock
 * (208 V across them where 240 V would be), or both legs of one phase (an adapter: no volts across
 * them). Volts across both legs tell it where they are measured. Without them two legs of one feed
 * show themselves by falling together when one of them is loaded; 208 V cannot be told at all.
 */
import * as z from 'zod';
import type { Finding } from '../alerts/alert.ts';
import type { Check, Verdict } from '../alerts/check.ts';
import { inWords } from '../panel/reasons.ts';
import { remembering } from './catalogue-rule.ts';
import { legAlone, medianOf, samplesSchema, takeStep } from './load-steps.ts';
import { CAUTIONS, pointsOf } from './rule.ts';
import type { RuleContext } from './rule.ts';
import type { Inlet } from './shore-inlets.ts';
import { inletsOf, voltsAcross } from './shore-inlets.ts';

const RULE = 'shore-kind';

const staySchema = z.object({
  samples: samplesSchema,
  /** Fall of the other leg as a share of the loaded one's own, by step; oldest first. */
  together: z.array(z.number()),
  /** What was found in this stay, with the volts across both legs if they told it. */
  kind: z.enum(['three-phase', 'one phase']).nullable(),
  across: z.number().nullable(),
  heldMs: z.number(),
  deadSinceMs: z.number().nullable(),
});

const memorySchema = z.record(z.string(), staySchema);
type Memory = z.infer<typeof memorySchema>;
type Stay = z.infer<typeof staySchema>;
type Kind = NonNullable<Stay['kind']>;

const freshStay = (): Stay => ({
  samples: [],
  together: [],
  kind: null,
  across: null,
  heldMs: 0,
  deadSinceMs: null,
});

/** Across two legs of 120 V: 208 V is 0.87 of 240 V; 195..216 V is taken for it. */
const THREE_PHASE_FROM = 0.8125;
const THREE_PHASE_TO = 0.9;
const ONE_PHASE_BELOW = 0.25;
/** A leg within a tenth of nominal is sound by itself, so the volts across say something. */
const LEG_SOUND_RATIO = 0.1;
/** Steps that must agree, and how far the other leg falls with the loaded one. */
const STEPS = 6;
const TOGETHER_RATIO = 0.4;
/** A loaded leg that falls by less than this share of nominal is lost in the noise. */
const FALL_RATIO = 0.006;

function kindByVolts({ boat }: RuleContext, { state }: Inlet, across: number): Kind | null {
  const nominal = boat.ac?.volts ?? 0;
  const areSound = state.legs.every(
    (leg) => Math.abs((leg.volts.value ?? 0) - nominal) <= LEG_SOUND_RATIO * nominal,
  );
  if (!areSound) return null;
  const ratio = across / (2 * nominal);
  if (ratio < ONE_PHASE_BELOW) return 'one phase';
  return ratio >= THREE_PHASE_FROM && ratio <= THREE_PHASE_TO ? 'three-phase' : null;
}

function noteStep(context: RuleContext, { state }: Inlet, stay: Stay): void {
  const step = takeStep(context, state, stay.samples);
  const leg = step && legAlone(step);
  if (!step || leg === null) return;
  const own = step.volts[leg] ?? 0;
  // A leg that rises under load, or hardly falls, shows the dock and not itself.
  const isPlain = own * (step.amps[leg] ?? 0) < 0;
  if (!isPlain || Math.abs(own) < FALL_RATIO * (context.boat.ac?.volts ?? 0)) return;
  stay.together = [...stay.together.slice(-2 * STEPS), (step.volts[1 - leg] ?? 0) / own];
}

function note(context: RuleContext, own: Inlet, stay: Stay): void {
  const { boat, nowMs, passedMs } = context;
  const { legs } = own.state;
  if (legs.every((leg) => leg.live === 'dead')) stay.deadSinceMs ??= nowMs;
  else if (legs.some((leg) => leg.live === 'live')) {
    const deadMs = stay.deadSinceMs === null ? 0 : nowMs - stay.deadSinceMs;
    if (deadMs >= boat.limits.stayDeadMinutes * 60_000) Object.assign(stay, freshStay());
    stay.deadSinceMs = null;
  }
  noteStep(context, own, stay);
  if (!legs.every((leg) => leg.live === 'live')) return;
  const across = voltsAcross(context, own.state);
  if (across !== null) {
    const kind = kindByVolts(context, own, across);
    stay.heldMs = kind === null ? 0 : stay.heldMs + passedMs;
    if (kind === null || stay.heldMs < boat.limits.supplyKindSeconds * 1000) return;
    stay.kind = kind;
    stay.across = across;
  } else if (stay.together.length >= STEPS && medianOf(stay.together) >= TOGETHER_RATIO) {
    stay.kind ??= 'one phase';
  }
}

function describe(context: RuleContext, { inlet }: Inlet, kind: Kind, stay: Stay): Finding {
  const { boat } = context;
  const nominal = boat.ac?.volts ?? 0;
  const across = stay.across?.toFixed(0);
  const loads = boat.circuits.filter((own) => own.legs.length === 2).map((own) => own.label);
  const named = loads.length === 0 ? 'Loads across both legs' : inWords(loads);
  const isOnePhase = kind === 'one phase';
  return {
    rule: RULE,
    subject: { part: inlet.id },
    priority: isOnePhase ? 'warning' : 'caution',
    title: isOnePhase
      ? `Both legs of ${inlet.label} are the same phase: no loads across both legs, and less current`
      : `The dock gives ${inlet.label} two legs of three-phase: ${across} V across them`,
    means: isOnePhase
      ? `${across === undefined ? 'When one leg is loaded the other falls with it, as on one feed.' : `There are ${across} V across both legs.`} ${named} will not run, and both legs share the current of one receptacle: what its breaker says is the limit in total. The neutral carries the sum of both legs, not their difference.`
      : `Each leg has its ${nominal} V. ${named} get ${Math.round(((stay.across ?? 0) / (2 * nominal)) ** 2 * 100)} % of their heat, and motors across both legs draw more and run hotter. It is so all stay, and is told once.`,
    doThis: isOnePhase
      ? 'Keep the sum of both legs below the rating of the receptacle on the dock, and switch loads across both legs off.'
      : 'Expect longer heating times, and watch the current of air conditioners that run across both legs.',
    cautions: [CAUTIONS.shorePlug, CAUTIONS.electrician],
    evidence: [
      {
        what: 'Voltage across both legs',
        value: stay.across,
        threshold: 2 * nominal * (isOnePhase ? ONE_PHASE_BELOW : THREE_PHASE_TO),
        unit: 'V',
      },
    ],
    confidence: stay.across === null ? 'inferred' : 'measured',
    points: pointsOf(boat, inlet.id),
  };
}

function check(context: RuleContext, own: Inlet, stay: Stay): Check {
  note(context, own, stay);
  const { kind } = stay;
  const verdictOf = (of: Kind): Verdict => (kind === of ? 'raise' : 'clear');
  return {
    rule: RULE,
    key: `${RULE}.${own.inlet.id}`,
    levels: [
      { priority: 'warning', verdict: verdictOf('one phase'), onDelayMs: 0 },
      { priority: 'caution', verdict: verdictOf('three-phase'), onDelayMs: 0 },
    ],
    offDelayMs: 0,
    describe: () => describe(context, own, kind ?? 'three-phase', stay),
  };
}

export const shoreKind = remembering<Memory>({
  name: RULE,
  fresh: () => ({}),
  isSound: (saved): saved is Memory => memorySchema.safeParse(saved).success,
  checks: (context, memory) =>
    inletsOf(context)
      .filter(({ inlet }) => inlet.legs.length === 2)
      .map((own) => check(context, own, (memory[own.inlet.id] ??= freshStay()))),
});
