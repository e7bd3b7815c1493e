/**
 * A plug, inlet or joint of the shore connection is getting worse, told as heat in the worst place:
 * what was added to its first picture is taken to sit in one contact. A breaker does not see this.
 * Volts over amperes through a day would, but they show the neighbours as well; see `load-steps.ts`.
 */
import type { Finding, Priority } from '../alerts/alert.ts';
import type { Check, Verdict } from '../alerts/check.ts';
import { jointWatts } from '../electrical/source-resistance.ts';
import { remembering } from './catalogue-rule.ts';
import {
  connectionsSchema,
  freshConnection,
  isClearlyAbove,
  noteConnection,
} from './connection-memory.ts';
import type { Connection, ConnectionLeg, Connections } from './connection-memory.ts';
import { amps, CAUTIONS, pointsOf, duration } from './rule.ts';
import type { RuleContext } from './rule.ts';
import type { Inlet } from './shore-inlets.ts';
import { inletsOf } from './shore-inlets.ts';

const RULE = 'connection-going-bad';
const DIFFERS = 'connection-differs';

/** Ohms that came on top of the first picture; 0 where that may be chance or a warm cord. */
function addedOhms({ now, first, isUnsure }: ConnectionLeg): number | null {
  if (now === null || first === null || isUnsure) return null;
  return isClearlyAbove(now, first) ? now.ohms - first.ohms : 0;
}

const wattsIn = (ohms: number, amperes: number): number => jointWatts(amperes, ohms) ?? 0;

interface Worst {
  /** Number and memory of the leg. */
  number: number;
  leg: ConnectionLeg;
  added: number;
  /** At the current of the last minute, and at the heaviest ten minutes of the day. */
  watts: number;
  wattsHeavy: number;
}

/** The leg that is heated most; null where no leg has a picture yet. */
function worstLeg(connection: Connection): Worst | null {
  const known = connection.legs.flatMap((leg, number): Worst[] => {
    const added = addedOhms(leg);
    if (added === null) return [];
    const wattsHeavy = wattsIn(added, Math.max(leg.heavyAmps, leg.minuteAmps));
    return [{ number, leg, added, watts: wattsIn(added, leg.minuteAmps), wattsHeavy }];
  });
  return known.sort((a, b) => b.wattsHeavy - a.wattsHeavy)[0] ?? null;
}

/** A fifth lower before it clears. */
function over(value: number, limit: number): Verdict {
  if (value > limit) return 'raise';
  return value <= 0.8 * limit ? 'clear' : 'hold';
}

function describe(
  context: RuleContext,
  { inlet, state }: Inlet,
  connection: Connection,
  worst: Worst,
  priority: Priority,
): Finding {
  const { boat, nowMs } = context;
  const { limits } = boat;
  const { leg, added, number, watts } = worst;
  const before = leg.first?.ohms ?? 0;
  const name = state.legs[number]?.leg ?? '';
  const on = state.legs.length > 1 ? ` on leg ${name}` : '';
  const heat = priority === 'alarm' ? watts : worst.wattsHeavy;
  const at = priority === 'alarm' ? leg.minuteAmps : Math.max(leg.heavyAmps, leg.minuteAmps);
  const others = connection.legs.filter((own, i) => i !== number && addedOhms(own) !== null);
  const isShared = others.some((own) => (addedOhms(own) ?? 0) > 0.5 * added);
  const where =
    others.length === 0
      ? ''
      : isShared
        ? ' The other leg got worse with it, so look at the neutral pin and at the cord as a whole.'
        : ' The other leg did not, so one pin, screw or joint of this leg is likely.';
  const limit = {
    'emergency alarm': limits.connectionAlarmWatts,
    alarm: limits.connectionAlarmWatts,
    warning: limits.connectionWarningWatts,
    caution: limits.connectionCautionWatts,
  }[priority];
  return {
    rule: RULE,
    subject: { part: inlet.id, ...(state.legs.length > 1 ? { leg: name } : {}) },
    priority,
    title: `The shore connection at ${inlet.label}${on} got worse: about ${heat.toFixed(0)} W of heat`,
    means: `It rose from ${before.toFixed(2)} to ${(before + added).toFixed(2)} ohm within ${duration(nowMs - leg.firstAtMs)}. If that sits in one contact, it makes ${heat.toFixed(0)} W there at ${amps(at)}, ${watts.toFixed(0)} W at the present ${amps(leg.minuteAmps)} and ${wattsIn(added, 40).toFixed(0)} W at 40 A; no breaker sees it.${where} The same rise on another inlet or a generator would put it aboard.`,
    doThis:
      priority === 'alarm'
        ? 'Switch heavy loads off now, then the breaker on the dock. Look for browning at plug and inlet before it is used again.'
        : 'Keep the load low. With the breaker on the dock off, unplug and look for browning, looseness and corrosion at plug and inlet.',
    cautions: [CAUTIONS.shorePlug, CAUTIONS.electrician],
    evidence: [
      { what: 'Heat in one contact', value: Math.round(heat), threshold: limit, unit: 'W' },
      {
        what: 'Resistance, median of load steps',
        value: Math.round((before + added) * 1000) / 1000,
        threshold: Math.round(before * (1 + limits.connectionGrowthRatio) * 1000) / 1000,
        unit: 'ohm',
      },
    ],
    confidence: 'measured',
    points: pointsOf(boat, inlet.id),
    ...(priority === 'alarm' && { needsInspection: true }),
  };
}

function check(context: RuleContext, own: Inlet, connection: Connection): Check {
  const { limits } = context.boat;
  const worst = worstLeg(connection);
  const verdictOf = (judge: (of: Worst) => Verdict): Verdict => (worst ? judge(worst) : 'unknown');
  const isMeasured = own.state.legs.every((leg) => leg.amps.value !== null);
  const heat = over(worst?.wattsHeavy ?? 0, limits.connectionWarningWatts);
  // Without heat that matters, a growing resistance is a figure and no finding.
  const hasGrown =
    worst !== null &&
    worst.added > limits.connectionGrowthRatio * (worst.leg.first?.ohms ?? 0) &&
    worst.wattsHeavy > limits.connectionCautionWatts;
  return {
    rule: RULE,
    key: `${RULE}.${own.inlet.id}`,
    levels: [
      {
        priority: 'alarm',
        verdict: isMeasured
          ? verdictOf(({ watts }) => over(watts, limits.connectionAlarmWatts))
          : 'unknown',
        onDelayMs: limits.connectionAlarmSeconds * 1000,
      },
      {
        priority: 'warning',
        verdict: verdictOf(() => (hasGrown ? 'raise' : heat)),
        onDelayMs: 0,
      },
      {
        priority: 'caution',
        verdict: verdictOf(({ wattsHeavy }) => over(wattsHeavy, limits.connectionCautionWatts)),
        onDelayMs: 0,
      },
    ],
    offDelayMs: limits.connectionClearMinutes * 60_000,
    describe(priority) {
      // Only asked for once a leg has been judged, and then it stays judged.
      if (!worst) throw new Error('a connection without a picture was told');
      return describe(context, own, connection, worst, priority);
    },
  };
}

/** So long the question stands. */
const ASKED_MS = 86_400_000;

function differs(
  context: RuleContext,
  { inlet, state }: Inlet,
  { differs: own }: Connection,
): Check {
  const { boat, nowMs } = context;
  const isAsked = own !== null && nowMs - own.atMs < ASKED_MS;
  return {
    rule: DIFFERS,
    key: `${DIFFERS}.${inlet.id}`,
    levels: [{ priority: 'caution', verdict: isAsked ? 'raise' : 'clear', onDelayMs: 0 }],
    offDelayMs: 0,
    describe() {
      const leg = own && state.legs.length > 1 ? ` on leg ${state.legs[own.leg]?.leg ?? ''}` : '';
      const before = own?.beforeOhms ?? 0;
      const now = own?.nowOhms ?? 0;
      return {
        rule: DIFFERS,
        subject: { part: inlet.id },
        priority: 'caution',
        title: `Is there a longer cord at ${inlet.label}? Its connection has more resistance than before`,
        means: `Since it was plugged in again it shows ${now.toFixed(2)} ohm${leg} where it was ${before.toFixed(2)} ohm. A longer or thinner cord, an adapter or another dock does that, and so does a plug that does not sit well.`,
        doThis:
          'If cord and dock are the same as before, switch the breaker on the dock off and look at plug and inlet.',
        cautions: [CAUTIONS.shorePlug],
        evidence: [
          {
            what: 'Resistance, median of load steps',
            value: Math.round(now * 1000) / 1000,
            threshold: Math.round(before * 1250) / 1000,
            unit: 'ohm',
          },
        ],
        confidence: 'measured',
        points: pointsOf(boat, inlet.id),
      };
    },
  };
}

export const connectionGoingBad = remembering<Connections>({
  name: RULE,
  fresh: () => ({}),
  isSound: (saved, boat): saved is Connections => {
    const parsed = connectionsSchema.safeParse(saved);
    if (!parsed.success) return false;
    // A leg more or less than before is another inlet under the same name.
    return boat.sources.every(
      ({ id, legs }) =>
        parsed.data[id] === undefined || parsed.data[id].legs.length === legs.length,
    );
  },
  checks: (context, memory) =>
    inletsOf(context).flatMap((own) => {
      const connection = (memory[own.inlet.id] ??= freshConnection(own.inlet.legs.length));
      noteConnection(context, own.state, connection);
      return [check(context, own, connection), differs(context, own, connection)];
    }),
});
