/**
 * A contact of the shore connection that flickers: the volts of a loaded leg jump again and again
 * while its current stands still, and do not without a load. An arc itself is too quick for a
 * sensor that speaks once a second; what it leaves in its means is not. Volts that besides creep
 * down under the same load make it graver. Creeping alone is never told: a dock that its neighbours
 * load does the same, and so does noise that is there without any load.
 */
import * as z from 'zod';
import type { Finding, Priority } from '../alerts/alert.ts';
import type { Check, Verdict } from '../alerts/check.ts';
import { remembering } from './catalogue-rule.ts';
import { flickerLegSchema, freshFlickerLeg, takeSample } from './flicker-memory.ts';
import type { FlickerLeg } from './flicker-memory.ts';
import { amps, CAUTIONS, pointsOf } from './rule.ts';
import type { RuleContext } from './rule.ts';
import type { Inlet } from './shore-inlets.ts';
import { inletsOf, stampMs } from './shore-inlets.ts';

const RULE = 'connection-flickers';

const memorySchema = z.record(z.string(), z.record(z.string(), flickerLegSchema));
type Memory = z.infer<typeof memorySchema>;
type Legs = Memory[string];

/** Volts and current of one leg must be of the same instant. */
const TOGETHER_MS = 1000;
/** Where the other leg crept by more than this share of it, the dock took both down. */
const TOGETHER_RATIO = 0.5;

/** Volts by which a leg has crept down under one and the same load; 0 where that was too short. */
function creep({ boat, nowMs }: RuleContext, { spell }: FlickerLeg): number {
  const isLong = spell !== null && nowMs - spell.sinceMs >= boat.limits.creepMinutes * 60_000;
  return isLong ? Math.max(0, spell.first - spell.now) : 0;
}

/** It has crept down, and the other leg not with it. */
function hasCrept(context: RuleContext, legs: Legs, own: FlickerLeg): boolean {
  const { boat } = context;
  const fall = creep(context, own);
  const others = Object.values(legs).filter((leg) => leg !== own);
  const isAlone = others.every((leg) => creep(context, leg) <= TOGETHER_RATIO * fall);
  return fall >= boat.limits.creepRatio * (boat.ac?.volts ?? 0) && isAlone;
}

function note({ boat, nowMs }: RuleContext, { state }: Inlet, legs: Legs): void {
  for (const { leg, volts, amps: drawn } of state.legs) {
    const atMs = stampMs(volts, nowMs);
    const drawnMs = stampMs(drawn, nowMs);
    if (volts.value === null || drawn.value === null || atMs === null || drawnMs === null) continue;
    // A current that is told later than the volts would let every step of load look like a jump.
    if (Math.abs(atMs - drawnMs) > TOGETHER_MS) continue;
    const own = (legs[leg] ??= freshFlickerLeg());
    takeSample(own, boat, { atMs, volts: volts.value, amps: Math.abs(drawn.value) });
  }
}

function describe(context: RuleContext, own: Inlet, legs: Legs, priority: Priority): Finding {
  const { boat } = context;
  const { inlet, state } = own;
  const [name, leg] = Object.entries(legs)
    .sort(([, a], [, b]) => (b.flicker?.jumps ?? 0) - (a.flicker?.jumps ?? 0))
    .at(0) ?? ['', freshFlickerLeg()];
  const { jumps, amps: drawn, volts } = leg.flicker ?? { jumps: 0, amps: null, volts: 0 };
  const on = state.legs.length > 1 ? ` on leg ${name}` : '';
  const fall = creep(context, leg);
  const crept =
    priority === 'alarm'
      ? ` Under the same load it has besides crept down by ${fall.toFixed(1)} V, as a contact does that warms.`
      : '';
  return {
    rule: RULE,
    subject: { part: inlet.id, ...(state.legs.length > 1 ? { leg: name } : {}) },
    priority,
    title: `Voltage of ${inlet.label} flickers${on} while it carries a load: a contact may be arcing`,
    means: `It jumped by more than ${volts.toFixed(1)} V about ${Math.round(jumps)} times a minute although the current stood still at ${amps(drawn)}, and does not without a load.${crept} A loose plug, pin or screw does that, gets hot, and no breaker sees it.`,
    doThis:
      priority === 'alarm'
        ? 'Switch heavy loads off now, then the breaker on the dock. Look for browning at plug and inlet before it is used again.'
        : 'Keep the load low. With the breaker on the dock off, see that the plug is home, and look for browning and looseness at plug and inlet.',
    cautions: [CAUTIONS.shorePlug, CAUTIONS.electrician],
    evidence: [
      {
        what: 'Jumps in a minute under load',
        value: Math.round(jumps),
        threshold: boat.limits.flickersPerMinute,
        unit: '',
      },
      {
        what: 'Fall under the same load',
        value: Math.round(fall * 10) / 10,
        threshold: Math.round(boat.limits.creepRatio * (boat.ac?.volts ?? 0) * 10) / 10,
        unit: 'V',
      },
    ],
    confidence: 'inferred',
    points: pointsOf(boat, inlet.id),
  };
}

function check(context: RuleContext, own: Inlet, legs: Legs): Check {
  note(context, own, legs);
  const { limits } = context.boat;
  const all = Object.values(legs);
  const isSeen = own.state.legs.every((leg) => leg.volts.value !== null && leg.amps.value !== null);
  const verdictOf = (judge: (leg: FlickerLeg) => boolean): Verdict =>
    isSeen ? (all.some(judge) ? 'raise' : 'clear') : 'unknown';
  return {
    rule: RULE,
    key: `${RULE}.${own.inlet.id}`,
    levels: [
      {
        priority: 'alarm',
        verdict: verdictOf((leg) => leg.flicker !== null && hasCrept(context, legs, leg)),
        onDelayMs: limits.connectionAlarmSeconds * 1000,
      },
      { priority: 'warning', verdict: verdictOf((leg) => leg.flicker !== null), onDelayMs: 0 },
    ],
    offDelayMs: limits.connectionClearMinutes * 60_000,
    describe: (priority) => describe(context, own, legs, priority),
  };
}

export const connectionFlickers = remembering<Memory>({
  name: RULE,
  fresh: () => ({}),
  isSound: (saved): saved is Memory => memorySchema.safeParse(saved).success,
  checks: (context, memory) =>
    inletsOf(context).map((own) => check(context, own, (memory[own.inlet.id] ??= {}))),
});
