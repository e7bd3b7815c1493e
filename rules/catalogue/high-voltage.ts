/**
 * Shore voltage that is too high on every leg: a badly set transformer or a generator ashore. One
 * leg high and the other low is `loose-neutral`.
 */
import * as z from 'zod';
import type { Finding, Priority } from '../alerts/alert.ts';
import { worst } from '../alerts/check.ts';
import type { Check, Verdict } from '../alerts/check.ts';
import { voltageStandardOf } from '../electrical/shore.ts';
import { remembering } from './catalogue-rule.ts';
import { CAUTIONS, pointsOf } from './rule.ts';
import type { RuleContext } from './rule.ts';
import type { Inlet } from './shore-inlets.ts';
import { inletsOf } from './shore-inlets.ts';
import {
  freshRepeat,
  heldBack,
  noteRepeat,
  repeatSchema,
  shares,
  voltsOfLegs,
} from './voltage-words.ts';
import type { Repeat } from './voltage-words.ts';

const RULE = 'high-voltage';

const memorySchema = z.record(z.string(), repeatSchema);
type Memory = z.infer<typeof memorySchema>;

function above(context: RuleContext, own: Inlet, limit: number): Verdict {
  const known = shares(context, own.state);
  if (known.length === 0) {
    return own.state.legs.some((leg) => leg.volts.value === null) ? 'unknown' : 'clear';
  }
  return worst(
    known.map(({ ratio }): Verdict => {
      if (ratio > limit) return 'raise';
      return ratio <= limit - context.boat.limits.highVoltageDeadbandRatio ? 'clear' : 'hold';
    }),
  );
}

function describe(context: RuleContext, own: Inlet, priority: Priority, limit: number): Finding {
  const { boat } = context;
  const { inlet, state } = own;
  const volts = (boat.ac?.volts ?? 0) * limit;
  const known = shares(context, state).sort((a, b) => b.ratio - a.ratio)[0];
  const at = known?.leg.volts.value?.toFixed(0) ?? 'unknown';
  return {
    rule: RULE,
    subject: {
      part: inlet.id,
      ...(state.legs.length > 1 && known ? { leg: known.leg.leg } : {}),
    },
    priority,
    title: `Shore voltage is high: ${inlet.label} is at ${at} V`,
    means: `It has stayed above ${volts.toFixed(0)} V. High voltage destroys chargers and electronics, and the supply ashore is at fault, not the boat.`,
    doThis:
      priority === 'alarm'
        ? 'Switch the shore supply off at its breaker, sensitive loads first, and tell the dock.'
        : 'Keep an eye on it and tell the dock; switch off what is sensitive if it goes on rising.',
    cautions: [CAUTIONS.shorePlug, CAUTIONS.electrician],
    evidence: voltsOfLegs(state, volts),
    confidence: 'measured',
    points: pointsOf(boat, inlet.id),
  };
}

function check(context: RuleContext, own: Inlet, repeat: Repeat): Check {
  const { boat } = context;
  const { limits } = boat;
  const key = `${RULE}.${own.inlet.id}`;
  noteRepeat(repeat, context, key);
  // EN 50160 takes 1.1 of nominal for good supply, so a caution below that would be noise.
  const isNarrow = boat.ac !== null && voltageStandardOf(boat.ac) !== 'EN 50160';
  return {
    rule: RULE,
    key,
    levels: heldBack(
      [
        {
          priority: 'alarm',
          verdict: above(context, own, limits.highVoltageRatio),
          onDelayMs: limits.highVoltageSeconds * 1000,
        },
        {
          priority: 'caution',
          verdict: isNarrow ? above(context, own, limits.highVoltageCautionRatio) : 'clear',
          onDelayMs: limits.highVoltageCautionMinutes * 60_000,
        },
      ],
      repeat,
      context,
    ),
    offDelayMs: limits.voltageClearSeconds * 1000,
    describe: (priority) =>
      describe(
        context,
        own,
        priority,
        priority === 'alarm' ? limits.highVoltageRatio : limits.highVoltageCautionRatio,
      ),
  };
}

export const highVoltage = remembering<Memory>({
  name: RULE,
  fresh: () => ({}),
  isSound: (saved): saved is Memory => memorySchema.safeParse(saved).success,
  checks: (context, memory) =>
    inletsOf(context).map((own) => check(context, own, (memory[own.inlet.id] ??= freshRepeat()))),
});
