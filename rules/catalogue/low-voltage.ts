/**
 * Shore voltage that stays low: a dock that sags on a hot afternoon. Motors suffer most. A leg that
 * reads no voltage at all is `shore-power-lost`, a leg that falls while the other rises is
 * `loose-neutral`.
 */
import * as z from 'zod';
import type { Finding, Priority } from '../alerts/alert.ts';
import { worst } from '../alerts/check.ts';
import type { Check, Verdict } from '../alerts/check.ts';
import { voltageStandardOf } from '../electrical/shore.ts';
import { byId } from '../panel/lookup.ts';
import type { CircuitState } from '../panel/panel-state.ts';
import { inWords } from '../panel/reasons.ts';
import { remembering } from './catalogue-rule.ts';
import { CAUTIONS, isRunning, pointsOf } from './rule.ts';
import type { RuleContext } from './rule.ts';
import type { Inlet } from './shore-inlets.ts';
import { inletsOf, lastFed } from './shore-inlets.ts';
import {
  daysOfSeven,
  freshRepeat,
  heldBack,
  noteRepeat,
  repeatSchema,
  shares,
  voltsOfLegs,
} from './voltage-words.ts';
import type { Repeat } from './voltage-words.ts';

const RULE = 'low-voltage';

const memorySchema = z.record(z.string(), repeatSchema);
type Memory = z.infer<typeof memorySchema>;

/** Motors that run on what this inlet feeds. */
function motors({ boat, panel, past }: RuleContext, { inlet }: Inlet): CircuitState[] {
  return boat.circuits.flatMap((circuit) => {
    if (circuit.load !== 'motor' || circuit.system !== 'ac') return [];
    if (past.feeds[circuit.bus]?.by !== inlet.id) return [];
    const state = byId(panel.circuits, circuit.id);
    return state && isRunning(boat, circuit, state) === true ? [state] : [];
  });
}

/** Below `limit` raises, from `limit + deadband` clears; judged leg by leg, the worst counts. */
function below(context: RuleContext, own: Inlet, limit: number, deadband: number): Verdict {
  const known = shares(context, own.state);
  if (known.length === 0) {
    return own.state.legs.some((leg) => leg.volts.value === null) ? 'unknown' : 'hold';
  }
  return worst(
    known.map(({ ratio }): Verdict => {
      if (ratio < limit) return 'raise';
      return ratio >= limit + deadband ? 'clear' : 'hold';
    }),
  );
}

function describe(
  context: RuleContext,
  own: Inlet,
  priority: Priority,
  limit: number,
  repeat: Repeat,
): Finding {
  const { boat, nowMs } = context;
  const { inlet, state } = own;
  const volts = (boat.ac?.volts ?? 0) * limit;
  const known = shares(context, state).sort((a, b) => a.ratio - b.ratio)[0];
  const at = known?.leg.volts.value?.toFixed(0) ?? 'unknown';
  const running = motors(context, own).map((circuit) => circuit.label);
  const days = daysOfSeven(repeat, nowMs);
  const pattern =
    days < 3 ? '' : ` It was low on ${days} of the last 7 days: ask for another place on the dock.`;
  const stop =
    running.length === 0
      ? 'Start no air conditioner or pump on it'
      : `Switch off ${inWords(running)}`;
  return {
    rule: RULE,
    subject: {
      part: inlet.id,
      ...(state.legs.length > 1 && known ? { leg: known.leg.leg } : {}),
    },
    priority,
    title:
      priority === 'alarm'
        ? `Motors run on low voltage: ${inlet.label} is at ${at} V`
        : `Shore voltage is low: ${inlet.label} is at ${at} V`,
    means: `It has stayed below ${volts.toFixed(0)} V. At low voltage motors draw more current and run hot, and may fail to start. Neighbours on the same dock are the usual cause.${pattern}`,
    doThis: `${stop}, or change to a generator; unload the supply and see whether the voltage recovers.`,
    cautions: [CAUTIONS.loadsOff, CAUTIONS.shorePlug, CAUTIONS.electrician],
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
  const isFeeding = lastFed(context, own.inlet.id).length > 0;
  const judged = (limit: number, deadband: number): Verdict =>
    isFeeding ? below(context, own, limit, deadband) : 'clear';
  const veryLow = judged(limits.veryLowVoltageRatio, limits.veryLowVoltageDeadbandRatio);
  const hasMotor = veryLow === 'raise' && motors(context, own).length > 0;
  // EN 50160 takes 0.9 of nominal for good supply, so a caution above that would be noise.
  const isNarrow = boat.ac !== null && voltageStandardOf(boat.ac) !== 'EN 50160';
  const limitAt: Partial<Record<Priority, number>> = {
    alarm: limits.veryLowVoltageRatio,
    warning: limits.lowVoltageRatio,
    caution: limits.lowVoltageCautionRatio,
  };
  return {
    rule: RULE,
    key,
    levels: heldBack(
      [
        {
          priority: 'alarm',
          verdict: veryLow === 'raise' && !hasMotor ? 'hold' : veryLow,
          onDelayMs: limits.veryLowVoltageSeconds * 1000,
        },
        {
          priority: 'warning',
          verdict: judged(limits.lowVoltageRatio, limits.lowVoltageDeadbandRatio),
          onDelayMs: limits.lowVoltageSeconds * 1000,
        },
        {
          priority: 'caution',
          verdict: isNarrow
            ? judged(limits.lowVoltageCautionRatio, limits.lowVoltageDeadbandRatio)
            : 'clear',
          onDelayMs: limits.lowVoltageCautionMinutes * 60_000,
        },
      ],
      repeat,
      context,
    ),
    offDelayMs: limits.voltageClearSeconds * 1000,
    describe: (priority) =>
      describe(context, own, priority, limitAt[priority] ?? limits.lowVoltageRatio, repeat),
  };
}

export const lowVoltage = remembering<Memory>({
  name: RULE,
  fresh: () => ({}),
  isSound: (saved): saved is Memory => memorySchema.safeParse(saved).success,
  checks: (context, memory) =>
    inletsOf(context).map((own) => check(context, own, (memory[own.inlet.id] ??= freshRepeat()))),
});
