/**
 * Voltage without strength: an inlet that reads well while nothing is on it, and collapses under
 * the first small load. A burnt contact or a broken wire ashore still shows volts to a meter.
 */
import * as z from 'zod';
import type { Check, Verdict } from '../alerts/check.ts';
import { worst } from '../alerts/check.ts';
import type { LegState } from '../panel/panel-state.ts';
import { remembering } from './catalogue-rule.ts';
import { CAUTIONS, pointsOf } from './rule.ts';
import type { RuleContext } from './rule.ts';
import { keyOf } from './rule-names.ts';
import type { Inlet } from './shore-inlets.ts';
import { inletsOf, stampMs } from './shore-inlets.ts';
import { voltsOfLegs } from './voltage-words.ts';

const RULE = 'weak-supply';

const legSchema = z.object({
  /** Newest volts with hardly any current, and when. */
  restVolts: z.number().nullable(),
  restAtMs: z.number(),
  /** What it collapsed to, from what, and at which current; null while it has not. */
  collapse: z.object({ from: z.number(), to: z.number(), amps: z.number() }).nullable(),
});

const memorySchema = z.record(z.string(), z.record(z.string(), legSchema));
type Memory = z.infer<typeof memorySchema>;
type LegMemory = z.infer<typeof legSchema>;

/** The volts must have fallen together with the load, or the dock sagged by itself. */
const TOGETHER_MS = 6000;

function note({ boat, nowMs }: RuleContext, leg: LegState, memory: LegMemory): Verdict {
  const nominal = boat.ac?.volts ?? 0;
  const { limits } = boat;
  const volts = leg.volts.value;
  const amps = leg.amps.value;
  const atMs = stampMs(leg.volts, nowMs);
  if (volts === null || amps === null || atMs === null) return 'unknown';
  const isGood = volts >= limits.inBandLowRatio * nominal;
  if (amps <= limits.drawingAmps) {
    if (isGood) {
      memory.restVolts = volts;
      memory.restAtMs = atMs;
    }
    // Volts at rest prove nothing, so they end nothing either.
    return memory.collapse === null ? 'clear' : 'hold';
  }
  const { restVolts, restAtMs } = memory;
  const fall = restVolts === null ? 0 : restVolts - volts;
  const hasFallen = fall >= limits.weakSupplyDropRatio * nominal && amps <= limits.weakSupplyAmps;
  if (memory.collapse !== null) {
    const holdsNow = isGood && amps >= 0.8 * memory.collapse.amps;
    if (holdsNow) memory.collapse = null;
    return holdsNow ? 'clear' : hasFallen ? 'raise' : 'hold';
  }
  if (!hasFallen || atMs - restAtMs > TOGETHER_MS) return 'clear';
  memory.collapse = { from: restVolts ?? 0, to: volts, amps };
  return 'raise';
}

function check(context: RuleContext, own: Inlet, memory: Record<string, LegMemory>): Check {
  const { boat } = context;
  const { inlet, state } = own;
  const nominal = boat.ac?.volts ?? 0;
  const verdicts = state.legs.map((leg) =>
    note(context, leg, (memory[leg.leg] ??= { restVolts: null, restAtMs: 0, collapse: null })),
  );
  return {
    rule: RULE,
    key: `${RULE}.${inlet.id}`,
    levels: [
      {
        priority: 'alarm',
        verdict: worst(verdicts),
        onDelayMs: boat.limits.weakSupplySeconds * 1000,
      },
    ],
    offDelayMs: boat.limits.voltageClearSeconds * 1000,
    explains: [keyOf('low-voltage', inlet.id), keyOf('connection-going-bad', inlet.id)],
    describe() {
      const leg = state.legs.find(({ leg: name }) => memory[name]?.collapse);
      const collapse = leg && memory[leg.leg]?.collapse;
      const fell = collapse
        ? `It read ${collapse.from.toFixed(0)} V with nothing on it and fell to ${collapse.to.toFixed(0)} V at ${collapse.amps.toFixed(1)} A.`
        : 'It read well with nothing on it and collapsed under a small load.';
      return {
        rule: RULE,
        subject: {
          part: inlet.id,
          ...(leg && state.legs.length > 1 ? { leg: leg.leg } : {}),
        },
        priority: 'alarm',
        title: `Voltage without strength: ${inlet.label} collapses under a small load`,
        means: `${fell} A contact or a conductor on the way from the dock has all but failed, or the neutral has; the place of the fault gets hot.`,
        doThis:
          'Do not use this supply: switch everything off, then the breaker on the dock, and have plug, cord and receptacle looked at.',
        cautions: [CAUTIONS.shorePlug, CAUTIONS.neverProvesDead, CAUTIONS.electrician],
        evidence: voltsOfLegs(
          state,
          (collapse?.from ?? nominal) - boat.limits.weakSupplyDropRatio * nominal,
        ),
        confidence: 'measured',
        points: pointsOf(boat, inlet.id),
      };
    },
  };
}

export const weakSupply = remembering<Memory>({
  name: RULE,
  fresh: () => ({}),
  isSound: (saved): saved is Memory => memorySchema.safeParse(saved).success,
  checks: (context, memory) =>
    inletsOf(context).map((own) => check(context, own, (memory[own.inlet.id] ??= {}))),
});
