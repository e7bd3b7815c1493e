/**
 * A circuit does not keep its standing order: it should be on and draws nothing for longer than it
 * ever rests, it is to be left off or is out of service and draws. A charger rests for days when
 * its battery is full, so the battery rules judge chargers instead.
 */
import type { Finding, Mode, Priority } from '../alerts/alert.ts';
import type { Check, Verdict } from '../alerts/check.ts';
import { byId } from '../panel/lookup.ts';
import type { BusState, CircuitState } from '../panel/panel-state.ts';
import type { Circuit } from '../boat/boat.ts';
import { NOT_AT_WORK } from './modes.ts';
import {
  amps,
  CAUTIONS,
  circuitState,
  duration,
  habitOf,
  label,
  placeWords,
  pointsOf,
} from './rule.ts';
import type { Rule, RuleContext } from './rule.ts';

const RULE = 'standing-order';

/** Days that must be known before a circuit's own rests count instead of the default. */
const DAYS_TO_LEARN = 3;
/** A day of which the longest rest is so many times the median was no normal day. */
const ODD_REST_RATIO = 2;
/** A break in resting this short, or a blink of the supply, does not start the time anew. */
const BLINK_MS = 60_000;

interface Broken {
  priority: Priority;
  verdict: Verdict;
  onDelayMs: number;
  gapMs?: number;
  modes?: readonly Mode[];
  words: () => Pick<Finding, 'title' | 'means' | 'doThis' | 'evidence'>;
}

/** The longest rest of its normal days; null while its habits are not known. */
function longestRest(context: RuleContext, circuit: Circuit): number | null {
  const normal = habitOf(context, circuit.id)?.normal;
  if (!normal || normal.days < DAYS_TO_LEARN) return null;
  return Math.min(normal.longestRestMsMost, normal.longestRestMs * ODD_REST_RATIO);
}

/** Whether it has power, and from the source that its order speaks of; null where that is unknown. */
function isOrdered(circuit: Circuit, state: CircuitState, bus: BusState | undefined) {
  if (state.live === 'dead') return false;
  const wanted = circuit.standingOrderWhenFedBy;
  if (wanted === undefined) return state.live === 'live' ? true : null;
  if (bus?.fedByIsKnown !== true || state.live === 'unknown') return null;
  return bus.fedBy === wanted;
}

function shouldBeOn(context: RuleContext, circuit: Circuit, state: CircuitState): Broken {
  const bus = byId(context.panel.buses, circuit.bus);
  const ordered = isOrdered(circuit, state, bus);
  const longest = longestRest(context, circuit);
  const { orderRestHours, orderRestExtraMinutes } = context.boat.limits;
  const mostMs =
    longest === null ? orderRestHours * 3_600_000 : longest + orderRestExtraMinutes * 60_000;
  const verdict = (): Verdict => {
    if (ordered === false || state.activity === 'drawing') return 'clear';
    // It is read and yet not known: its sensor hangs, and may hide that it has run since.
    if (state.activity === 'unknown' && state.amps.value !== null) return 'hold';
    return ordered === null || state.activity === 'unknown' ? 'unknown' : 'raise';
  };
  return {
    priority: 'warning',
    verdict: verdict(),
    onDelayMs: mostMs,
    gapMs: BLINK_MS,
    modes: NOT_AT_WORK,
    words() {
      const restMs = state.activeSinceMs === null ? 0 : context.nowMs - state.activeSinceMs;
      const fed = bus?.fedBy ? `, although ${label(context.boat, bus.fedBy)} feeds its bus` : '';
      const usual =
        longest === null
          ? 'How long it usually rests is not known yet.'
          : `On a normal day it rests ${duration(longest)} at most.`;
      return {
        title: `${circuit.label} should be on and has drawn nothing for ${duration(restMs)}`,
        means: `It draws ${amps(state.amps)}${fed}. ${usual} Its breaker may have tripped or its own switch may be off; what it keeps going stands still.`,
        doThis: `See whether ${circuit.label}${placeWords(circuit)} is switched on and works. If its breaker has tripped, find out why before it is switched on again.`,
        evidence: [
          { what: 'Current', value: state.amps.value, threshold: circuit.drawingAmps, unit: 'A' },
          {
            what: 'Time without drawing',
            value: Math.round(restMs / 60_000),
            threshold: Math.round(mostMs / 60_000),
            unit: 'min',
          },
        ],
      };
    },
  };
}

function shouldBeOff(context: RuleContext, circuit: Circuit, state: CircuitState): Broken {
  const { limits } = context.boat;
  const isOut = circuit.standingOrder === 'out of service';
  const verdict: Verdict =
    state.activity === 'unknown' ? 'unknown' : state.activity === 'drawing' ? 'raise' : 'clear';
  return {
    priority: isOut ? 'warning' : 'caution',
    verdict,
    onDelayMs: (isOut ? limits.outOfServiceSeconds : limits.orderDrawingSeconds) * 1000,
    // What is in pieces must not be fed while somebody works on it; the rest is being tried out.
    ...(isOut ? {} : { modes: NOT_AT_WORK }),
    words: () => ({
      title: isOut
        ? `${circuit.label} is out of service and draws ${amps(state.amps)}`
        : `${circuit.label} is to be left off and draws ${amps(state.amps)}`,
      means: isOut
        ? 'It was taken out of service for a reason: what hangs on it may be damaged or in pieces.'
        : 'The standing order says to leave it off. Somebody needs it, or it has been forgotten.',
      doThis: isOut
        ? `Switch ${circuit.label}${placeWords(circuit)} off and ask who has switched it on.`
        : `Switch ${circuit.label}${placeWords(circuit)} off if nobody needs it.`,
      evidence: [
        { what: 'Current', value: state.amps.value, threshold: circuit.drawingAmps, unit: 'A' },
      ],
    }),
  };
}

function check(context: RuleContext, circuit: Circuit, state: CircuitState): Check {
  const { boat } = context;
  const make = circuit.standingOrder === 'should be on' ? shouldBeOn : shouldBeOff;
  const { words, ...level } = make(context, circuit, state);
  const { priority } = level;
  return {
    rule: RULE,
    key: `${RULE}.${circuit.id}`,
    levels: [level],
    offDelayMs: boat.limits.orderDrawingSeconds * 1000,
    describe() {
      const own = words();
      return {
        rule: RULE,
        subject: { part: circuit.id },
        priority,
        ...own,
        means: circuit.note === undefined ? own.means : `${own.means} ${circuit.note}`,
        cautions: [CAUTIONS.neverProvesDead, CAUTIONS.electrician],
        confidence: state.amps.evidence === 'measured' ? 'measured' : 'inferred',
        points: pointsOf(boat, circuit.id),
      };
    },
  };
}

export const standingOrder: Rule = (context) =>
  context.boat.circuits.flatMap((circuit) => {
    if (circuit.standingOrder === undefined) return [];
    if (circuit.standingOrder === 'should be on' && circuit.charges !== undefined) return [];
    const state = circuitState(context.panel, circuit.id);
    return state ? [check(context, circuit, state)] : [];
  });
