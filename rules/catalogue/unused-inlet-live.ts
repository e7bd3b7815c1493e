/**
 * Voltage at an inlet that nothing is plugged into: its open pins are live. Whether a cord hangs on
 * an inlet no sensor sees, so this is said in two cases only. One: the boat file says that fewer
 * cords can be plugged in than inlets are live. Two: the boat is fed by a generator or an inverter,
 * and the inlet's volts rise and fall with that source's own steps of load, which no dock does. A
 * boat with a cord in each inlet is never told so.
 */
import * as z from 'zod';
import type { Check, Verdict } from '../alerts/check.ts';
import type { PartId } from '../boat/boat.ts';
import type { SourceState } from '../panel/panel-state.ts';
import { remembering } from './catalogue-rule.ts';
import { medianOf, samplesSchema, takeStep } from './load-steps.ts';
import { CAUTIONS, label, pointsOf } from './rule.ts';
import type { RuleContext } from './rule.ts';
import type { Inlet } from './shore-inlets.ts';
import { inletsOf } from './shore-inlets.ts';
import { voltsOfLegs } from './voltage-words.ts';

const RULE = 'unused-inlet-live';

const memorySchema = z.object({
  /** Samples of each source aboard that feeds the boat. */
  samples: z.record(z.string(), samplesSchema),
  /** By inlet: its change of volts as a share of the feeding source's, by step; oldest first. */
  follows: z.record(z.string(), z.object({ source: z.string(), shares: z.array(z.number()) })),
  /** By inlet: its volts at the newest evaluations, oldest first. */
  volts: z.record(z.string(), z.array(z.object({ atMs: z.number(), volts: z.number() }))),
});

type Memory = z.infer<typeof memorySchema>;

/** Steps that must agree, and the share from which the inlet follows. A dock's share is nought. */
const STEPS = 4;
const FOLLOWS_RATIO = 0.7;
/** A step that moves the source by less than this share of nominal is lost in the noise. */
const LEAST_RATIO = 0.008;
const KEPT_MS = 20_000;

function voltsOf(state: SourceState): number | null {
  const volts = state.legs.map((leg) => leg.volts.value);
  return volts.includes(null) ? null : volts.reduce<number>((sum, own) => sum + (own ?? 0), 0);
}

/** Mean of the inlet's volts within a span; null where there are none. */
function meanWithin(kept: { atMs: number; volts: number }[], fromMs: number, toMs: number) {
  const own = kept.filter(({ atMs }) => atMs >= fromMs && atMs <= toMs);
  return own.length === 0 ? null : own.reduce((sum, { volts }) => sum + volts, 0) / own.length;
}

const SECOND_MS = 1000;

/** Watches the inlets while a source aboard feeds the boat. */
function note(context: RuleContext, memory: Memory, inlets: readonly Inlet[]): void {
  const { boat, panel, nowMs } = context;
  for (const { inlet, state } of inlets) {
    const volts = voltsOf(state);
    if (volts === null) continue;
    const kept = (memory.volts[inlet.id] ??= []);
    kept.push({ atMs: nowMs, volts });
    while ((kept[0]?.atMs ?? nowMs) < nowMs - KEPT_MS) kept.shift();
  }
  const feeding = panel.sources.filter(
    (own) => (own.kind === 'generator' || own.kind === 'inverter') && own.feeds.length > 0,
  );
  for (const source of feeding) {
    const step = takeStep(context, source, (memory.samples[source.id] ??= []));
    const change = step ? step.volts.reduce((a, b) => a + b, 0) : 0;
    if (!step || Math.abs(change) < LEAST_RATIO * (boat.ac?.volts ?? 0)) continue;
    for (const { inlet } of inlets) {
      const kept = memory.volts[inlet.id] ?? [];
      const before = meanWithin(kept, step.fromMs - 3 * SECOND_MS, step.fromMs);
      const after = meanWithin(kept, step.atMs - SECOND_MS, nowMs);
      if (before === null || after === null) continue;
      const old = memory.follows[inlet.id];
      const shares = old?.source === source.id ? old.shares : [];
      memory.follows[inlet.id] = {
        source: source.id,
        shares: [...shares.slice(1 - 2 * STEPS), (after - before) / change],
      };
    }
  }
}

const highestRatio = ({ boat }: RuleContext, state: SourceState): number | null => {
  const known = state.legs.flatMap((leg) => leg.volts.value ?? []);
  return known.length === 0 ? null : Math.max(...known) / (boat.ac?.volts ?? 1);
};

/** The source aboard whose steps of load the inlet follows. */
function followed(context: RuleContext, memory: Memory, inlet: PartId): PartId | null {
  const own = memory.follows[inlet];
  if (!own || own.shares.length < STEPS || medianOf(own.shares) < FOLLOWS_RATIO) return null;
  const source = context.panel.sources.find((state) => state.id === own.source);
  return source !== undefined && source.feeds.length > 0 ? own.source : null;
}

/** An inlet that carries the boat's current, or feeds it, is plugged in. */
function isInUse({ boat }: RuleContext, { state }: Inlet): boolean {
  return (
    state.legs.some((leg) => (leg.amps.value ?? 0) > boat.limits.drawingAmps) ||
    state.feeds.length > 0
  );
}

function check(context: RuleContext, own: Inlet, memory: Memory, inlets: readonly Inlet[]): Check {
  const { boat } = context;
  const { inlet, state } = own;
  const ratio = highestRatio(context, state);
  const source = followed(context, memory, inlet.id);
  const used = inlets.filter((other) => isInUse(context, other)).length;
  const isSpare = !isInUse(context, own) && used >= boat.limits.shoreCords;
  const verdict = ((): Verdict => {
    if (ratio === null) return 'unknown';
    if (ratio < boat.limits.unusedInletRatio) return 'clear';
    return source !== null || isSpare ? 'raise' : 'clear';
  })();
  return {
    rule: RULE,
    key: `${RULE}.${inlet.id}`,
    levels: [
      {
        priority: 'emergency alarm',
        verdict,
        onDelayMs: boat.limits.unusedInletSeconds * 1000,
      },
    ],
    offDelayMs: boat.limits.shoreBackSeconds * 1000,
    describe() {
      const why =
        source === null
          ? `Another inlet feeds the boat, and the boat file says that ${boat.limits.shoreCords === 1 ? 'one cord is' : `${boat.limits.shoreCords} cords are`} all there is.`
          : `Its voltage rises and falls with the load on ${label(boat, source)}, so it comes from aboard.`;
      const off =
        source === null ? 'Switch the breaker on the dock off' : `Stop ${label(boat, source)}`;
      return {
        rule: RULE,
        subject: { part: inlet.id },
        priority: 'emergency alarm',
        title: `The pins of ${inlet.label} may be live although nothing is plugged in there`,
        means: `${why} A selector or a transfer switch lets power back out; whoever touches the pins, or the water beside them, can be killed.`,
        doThis: `Do not touch this inlet and keep others away. ${off}, and have the selector and its wiring looked at.`,
        cautions: [CAUTIONS.shorePlug, CAUTIONS.neverProvesDead, CAUTIONS.electrician],
        evidence: voltsOfLegs(state, (boat.ac?.volts ?? 0) * boat.limits.unusedInletRatio),
        confidence: source === null ? 'inferred' : 'measured',
        points: pointsOf(boat, inlet.id, ...(source === null ? [] : [source])),
        needsInspection: true,
      };
    },
  };
}

export const unusedInletLive = remembering<Memory>({
  name: RULE,
  fresh: () => ({ samples: {}, follows: {}, volts: {} }),
  isSound: (saved): saved is Memory => memorySchema.safeParse(saved).success,
  checks(context, memory) {
    const inlets = inletsOf(context);
    note(context, memory, inlets);
    return inlets.map((own) => check(context, own, memory, inlets));
  },
});
