/**
 * Circuits that require the same other circuit stop again and again after a minute or so, while
 * that one runs: what they share fails them (cooling water, say), not each of them by itself.
 */
import type { Check, Verdict } from '../alerts/check.ts';
import type { Circuit } from '../boat/boat.ts';
import type { HabitMemory } from '../panel/habit-memory.ts';
import { inWords } from '../panel/reasons.ts';
import { NOT_AT_WORK } from './modes.ts';
import { requiredCircuits } from './required-circuits.ts';
import type { Required } from './required-circuits.ts';
import { CAUTIONS, circuitState, duration, habitOf, placeWords, pointsOf } from './rule.ts';
import type { Rule, RuleContext } from './rule.ts';
import { keyOf } from './rule-names.ts';
import { shortRuns } from './short-cycling.ts';

const RULE = 'shared-trips';

/** Whether it was seen to run at `atMs`. */
function ranAt(memory: HabitMemory | undefined, atMs: number): boolean {
  if (!memory) return false;
  const { phase, stretch, runs } = memory;
  const runsNow = phase === 'running' || phase === 'starting';
  if (runsNow && (stretch.sinceMs === null || stretch.sinceMs <= atMs)) return true;
  return runs.some(([endMs, ranMs]) => atMs <= endMs && atMs >= endMs - ranMs);
}

interface Trips {
  circuit: Circuit;
  times: number;
}

function check(context: RuleContext, { required, dependents }: Required): Check {
  const { boat, panel, nowMs } = context;
  const { sharedTripMinutes, sharedTripsMinutes, sharedTripsMost } = boat.limits;
  const windowMs = sharedTripsMinutes * 60_000;
  const memory = habitOf(context, required.id);
  const trips = dependents
    .map((circuit): Trips => {
      const own = habitOf(context, circuit.id);
      const short = shortRuns(own, windowMs, sharedTripMinutes * 60_000, nowMs);
      return { circuit, times: short.filter(([endMs]) => ranAt(memory, endMs)).length };
    })
    .filter((own) => own.times > 0);
  const times = trips.reduce((sum, own) => sum + own.times, 0);
  const verdict = (): Verdict => {
    if (times === 0) return 'clear';
    const isBlind = dependents.every((own) => circuitState(panel, own.id)?.activity === 'unknown');
    if (isBlind) return 'unknown';
    return times >= sharedTripsMost ? 'raise' : 'hold';
  };
  return {
    rule: RULE,
    key: `${RULE}.${required.id}`,
    modes: NOT_AT_WORK,
    levels: [{ priority: 'warning', verdict: verdict(), onDelayMs: 0 }],
    offDelayMs: 0,
    explains: dependents.map((own) => keyOf('short-cycling', own.id)),
    describe() {
      const who = inWords(trips.map((own) => own.circuit.label));
      const note = required.note === undefined ? '' : ` ${required.note}`;
      return {
        rule: RULE,
        subject: { part: required.id },
        priority: 'warning',
        title: `${times} short trips within ${duration(windowMs)} of ${who}: look at ${required.label}`,
        means:
          trips.length > 1
            ? `They stop soon after they start although ${required.label} draws current. They share it, so what it gives them is the likely cause, not a fault in each of them.`
            : `It stops soon after it starts although ${required.label} draws current. Too little of what that gives is the likely cause.`,
        doThis: `Switch off ${who} and see whether ${required.label}${placeWords(required)} does its work: strainer, valve and hoses where it moves water.${note}`,
        cautions: [CAUTIONS.rotating, CAUTIONS.neverProvesDead],
        evidence: [
          {
            what: `Runs shorter than ${duration(sharedTripMinutes * 60_000)}`,
            value: times,
            threshold: sharedTripsMost,
            unit: '',
          },
        ],
        confidence: 'inferred',
        points: pointsOf(boat, required.id, ...trips.map((own) => own.circuit.id)),
      };
    },
  };
}

export const sharedTrips: Rule = (context) =>
  requiredCircuits(context.boat).map((own) => check(context, own));
