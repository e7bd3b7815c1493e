/**
 * A generator's frequency or voltage leaves its class of ISO 8528-5: for long (its governor or
 * regulator), or for a moment when a load comes on. Sensors speak about once a second, so a dip is
 * told as at least so deep and so long; a shorter one is not seen at all.
 */
import { z } from 'zod';
import type { Finding } from '../alerts/alert.ts';
import type { Check, Verdict } from '../alerts/check.ts';
import { worst } from '../alerts/check.ts';
import type { Boat, Generator } from '../boat/boat.ts';
import { CLASS_LIMITS, isWithinClass } from '../electrical/generator-classes.ts';
import type { GeneratorClass } from '../electrical/generator-classes.ts';
import type { SourceState } from '../panel/panel-state.ts';
import { remembering } from './catalogue-rule.ts';
import {
  followRun,
  freshRun,
  generatorRunSchema,
  generatorsOf,
  isRunning,
  runningForMs,
} from './generator-run.ts';
import { CAUTIONS, pointsOf, wasHeard } from './rule.ts';
import type { RuleContext } from './rule.ts';
import { keyOf } from './rule-names.ts';

const STEADY = 'generator-out-of-class';
const DIP = 'generator-dip';

type Quantity = 'hertz' | 'volts';
const QUANTITIES: readonly Quantity[] = ['hertz', 'volts'];
const NAMES: Readonly<Record<Quantity, string>> = { hertz: 'Frequency', volts: 'Voltage' };
const UNITS: Readonly<Record<Quantity, string>> = { hertz: 'Hz', volts: 'V' };

/** It must come back so far into its band before it clears. */
const CLEAR_RATIO = 0.9;

/** Out of the steady band since `fromMs`; `extreme` is furthest from rated. */
const spellSchema = z.object({ fromMs: z.number(), toMs: z.number(), extreme: z.number() });
type Spell = z.infer<typeof spellSchema>;
const dipSchema = spellSchema.extend({ quantity: z.enum(['hertz', 'volts']) });
const ownSchema = z.object({
  run: generatorRunSchema,
  spells: z.object({ hertz: spellSchema.nullable(), volts: spellSchema.nullable() }),
  dip: dipSchema.nullable(),
});
type Own = z.infer<typeof ownSchema>;
const memorySchema = z.record(z.string(), ownSchema);
type Memory = z.infer<typeof memorySchema>;

const CLASSES: readonly GeneratorClass[] = ['G1', 'G2', 'G3'];

function classOf({ limits }: Boat, quantity: Quantity): GeneratorClass {
  const number = quantity === 'hertz' ? limits.generatorHertzClass : limits.generatorVoltsClass;
  return CLASSES[Math.round(number) - 1] ?? 'G2';
}

const ratedOf = (boat: Boat, quantity: Quantity): number | null =>
  (quantity === 'hertz' ? boat.ac?.hertz : boat.ac?.volts) ?? null;

/** Steady band, to both sides of rated, as a share of it. */
function bandOf(boat: Boat, quantity: Quantity): number {
  const limits = CLASS_LIMITS[classOf(boat, quantity)];
  return quantity === 'hertz' ? limits.hertzDroop : limits.voltsSteady;
}

/** The regulator holds the mean of the legs, so that is what the class is about. */
function valueOf(state: SourceState, quantity: Quantity): number | null {
  if (quantity === 'hertz') return state.hertz.value;
  let sum = 0;
  for (const leg of state.legs) {
    if (leg.volts.value === null) return null;
    sum += leg.volts.value;
  }
  return state.legs.length === 0 ? null : sum / state.legs.length;
}

/** A set without a sensor for a quantity is not judged by it. */
const isMetered = (state: SourceState, quantity: Quantity): boolean =>
  quantity === 'hertz' ? wasHeard(state.hertz) : state.legs.every((leg) => wasHeard(leg.volts));

/** Judged only while it runs and has run up. Null: not now. */
function moved(context: RuleContext, own: Own, state: SourceState, quantity: Quantity) {
  const { boat, nowMs } = context;
  const rated = ratedOf(boat, quantity);
  const value = valueOf(state, quantity);
  const isUp =
    isRunning(state) === true &&
    (own.run.startedMs === null ||
      runningForMs(own.run, nowMs) >= boat.limits.generatorRunUpSeconds * 1000);
  if (rated === null || value === null || !isUp) return null;
  return { value, rated, ratio: Math.abs(value - rated) / rated };
}

function steadyVerdict(
  context: RuleContext,
  own: Own,
  state: SourceState,
  quantity: Quantity,
): Verdict {
  const running = isRunning(state);
  if (running === false) return 'clear';
  const now = moved(context, own, state, quantity);
  if (now === null) {
    const isSilent = running === null || valueOf(state, quantity) === null;
    return isSilent ? 'unknown' : 'clear';
  }
  const band = bandOf(context.boat, quantity);
  if (now.ratio > band) return 'raise';
  return now.ratio <= band * CLEAR_RATIO ? 'clear' : 'hold';
}

/** Follows a spell out of the band; when it is over and was beyond the class, it is a dip. */
function watchForDip(context: RuleContext, own: Own, state: SourceState, quantity: Quantity): void {
  const { boat, nowMs } = context;
  const now = moved(context, own, state, quantity);
  const spell = own.spells[quantity];
  // A set that dies, or a sensor that falls silent, ends the spell without a word about recovery.
  if (now === null) {
    own.spells[quantity] = null;
    return;
  }
  const isOut = now.ratio > bandOf(boat, quantity);
  if (isOut) {
    own.spells[quantity] = grown(spell, now.value, now.rated, nowMs);
    return;
  }
  own.spells[quantity] = null;
  if (spell === null || spell.toMs - spell.fromMs > boat.limits.generatorSteadySeconds * 1000)
    return;
  const transient = {
    quantity,
    rated: now.rated,
    extreme: spell.extreme,
    recoverySeconds: (spell.toMs - spell.fromMs) / 1000,
  };
  if (isWithinClass(transient, classOf(boat, quantity)) === false) {
    own.dip = { ...spell, toMs: nowMs, quantity };
  }
}

function grown(spell: Spell | null, value: number, rated: number, nowMs: number): Spell {
  if (spell === null) return { fromMs: nowMs, toMs: nowMs, extreme: value };
  const isFurther = Math.abs(value - rated) > Math.abs(spell.extreme - rated);
  return { ...spell, toMs: nowMs, extreme: isFurther ? value : spell.extreme };
}

const shown = (value: number | null, quantity: Quantity): string =>
  value === null ? 'unknown' : `${value.toFixed(1)} ${UNITS[quantity]}`;

function describeSteady(
  { boat }: RuleContext,
  generator: Generator,
  state: SourceState,
  out: readonly Quantity[],
): Finding {
  const named = out.length > 0 ? out : QUANTITIES;
  const words = named.map(
    (quantity) => `${NAMES[quantity].toLowerCase()} ${shown(valueOf(state, quantity), quantity)}`,
  );
  return {
    rule: STEADY,
    subject: { part: generator.id },
    priority: 'warning',
    title: `${generator.label} is out of its class: ${words.join(', ')}`,
    means:
      'It has been so for a minute or more: it is overloaded, or its governor or voltage regulator needs setting. Motors run hot and electronics may fail.',
    doThis:
      'Take heavy loads off it. If it stays so with little load, stop it after it has cooled down and have governor and regulator looked at.',
    cautions: [CAUTIONS.loadsOff, CAUTIONS.generator, CAUTIONS.electrician],
    evidence: QUANTITIES.map((quantity) => {
      const rated = ratedOf(boat, quantity) ?? 0;
      const value = valueOf(state, quantity);
      const side = value !== null && value > rated ? 1 : -1;
      return {
        what: `${NAMES[quantity]}, steady, class ${classOf(boat, quantity)}`,
        value,
        threshold: rated * (1 + side * bandOf(boat, quantity)),
        unit: UNITS[quantity],
      };
    }),
    confidence: 'measured',
    points: pointsOf(boat, generator.id),
  };
}

function describeDip({ boat }: RuleContext, generator: Generator, own: Own): Finding {
  const { dip } = own;
  const quantity = dip?.quantity ?? 'hertz';
  const rated = ratedOf(boat, quantity) ?? 0;
  const isRise = dip !== null && dip.extreme > rated;
  const seconds = Math.max(1, Math.round(((dip?.toMs ?? 0) - (dip?.fromMs ?? 0)) / 1000));
  const limits = CLASS_LIMITS[classOf(boat, quantity)];
  const [fall, rise] =
    quantity === 'hertz'
      ? [limits.hertzDip, limits.hertzRise]
      : [limits.voltsDip, limits.voltsRise];
  return {
    rule: DIP,
    subject: { part: generator.id },
    priority: 'caution',
    title: `${generator.label} was ${isRise ? 'thrown' : 'pulled'} to ${shown(dip?.extreme ?? null, quantity)} and came back after ${seconds} s`,
    means: `A load that ${isRise ? 'went off' : 'came on'} moved it further, or for longer, than class ${classOf(boat, quantity)} of ISO 8528-5 allows. Its sensor speaks about once a second: in truth it may have been more.`,
    doThis: isRise
      ? 'Switch heavy loads off one after the other.'
      : 'Start the largest motor first and alone, with the charger off, wait ten seconds, then the next; heaters last.',
    cautions: [CAUTIONS.generator],
    evidence: [
      {
        what: `${NAMES[quantity]} at the worst`,
        value: dip?.extreme ?? null,
        threshold: rated * (isRise ? 1 + rise : 1 - fall),
        unit: UNITS[quantity],
      },
    ],
    confidence: 'measured',
    points: pointsOf(boat, generator.id),
  };
}

function checks(context: RuleContext, memory: Memory): Check[] {
  const { limits } = context.boat;
  const { nowMs } = context;
  return generatorsOf(context).flatMap(({ generator, state }): Check[] => {
    const own = (memory[generator.id] ??= {
      run: freshRun(),
      spells: { hertz: null, volts: null },
      dip: null,
    });
    followRun(own.run, context, state, nowMs);
    for (const quantity of QUANTITIES) watchForDip(context, own, state, quantity);
    const verdicts = QUANTITIES.filter((quantity) => isMetered(state, quantity)).map(
      (quantity) => [quantity, steadyVerdict(context, own, state, quantity)] as const,
    );
    const out = verdicts.filter(([, verdict]) => verdict === 'raise').map(([quantity]) => quantity);
    const isTold =
      own.dip !== null && nowMs - own.dip.toMs < limits.generatorLessonMinutes * 60_000;
    return [
      {
        rule: STEADY,
        key: `${STEADY}.${generator.id}`,
        levels: [
          {
            priority: 'warning',
            verdict: worst(verdicts.map(([, verdict]) => verdict)),
            onDelayMs: limits.generatorSteadySeconds * 1000,
          },
        ],
        offDelayMs: limits.idleGeneratorClearSeconds * 1000,
        explains: [keyOf(DIP, generator.id)],
        describe: () => describeSteady(context, generator, state, out),
      },
      {
        rule: DIP,
        key: `${DIP}.${generator.id}`,
        levels: [{ priority: 'caution', verdict: isTold ? 'raise' : 'clear', onDelayMs: 0 }],
        offDelayMs: 0,
        describe: () => describeDip(context, generator, own),
      },
    ];
  });
}

export const generatorOutOfClass = remembering<Memory>({
  name: STEADY,
  fresh: () => ({}),
  isSound: (saved): saved is Memory => memorySchema.safeParse(saved).success,
  checks,
});
