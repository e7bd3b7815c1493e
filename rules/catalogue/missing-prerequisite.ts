/**
 * A circuit runs without the circuit it requires: air conditioners without their cooling water
 * pump, say. One alert for each circuit that is missing, naming all that run without it.
 */
import type { Check, Verdict } from '../alerts/check.ts';
import { worst } from '../alerts/check.ts';
import type { Circuit } from '../boat/boat.ts';
import { inWords } from '../panel/reasons.ts';
import { requiredCircuits } from './required-circuits.ts';
import {
  amps,
  CAUTIONS,
  circuitState,
  isRunning,
  placeWords,
  pointsOf,
  runningAbove,
} from './rule.ts';
import type { Rule, RuleContext } from './rule.ts';
import { keyOf } from './rule-names.ts';

const RULE = 'missing-prerequisite';

function stateOf({ panel }: RuleContext, circuit: Circuit) {
  return circuitState(panel, circuit.id);
}

/** Verdict on one dependent: it must run while the required circuit does not. */
function verdict(
  context: RuleContext,
  dependent: Circuit,
  isRequiredRunning: boolean | null,
): Verdict {
  const state = stateOf(context, dependent);
  const runs = state ? isRunning(context.boat, dependent, state) : null;
  if (runs === false || isRequiredRunning === true) return 'clear';
  return runs === null || isRequiredRunning === null ? 'unknown' : 'raise';
}

function check(context: RuleContext, required: Circuit, dependents: Circuit[]): Check {
  const { boat } = context;
  const state = stateOf(context, required);
  const isRequiredRunning = state ? isRunning(boat, required, state) : null;
  const verdicts = dependents.map((own) => verdict(context, own, isRequiredRunning));
  return {
    rule: RULE,
    key: `${RULE}.${required.id}`,
    levels: [
      {
        priority: 'alarm',
        verdict: worst(verdicts),
        onDelayMs: boat.limits.prerequisiteSeconds * 1000,
      },
    ],
    offDelayMs: boat.limits.prerequisiteClearSeconds * 1000,
    explains: [keyOf('weak-prerequisite', required.id), keyOf('shared-trips', required.id)],
    describe() {
      const running = dependents.filter((_, i) => verdicts[i] === 'raise');
      const named = running.length > 0 ? running : dependents;
      const names = inWords(named.map((own) => own.label));
      const note = required.note === undefined ? '' : ` ${required.note}`;
      return {
        rule: RULE,
        subject: { part: required.id },
        priority: 'alarm',
        title: `${names} ${named.length > 1 ? 'run' : 'runs'} without ${required.label}`,
        means: `${required.label} draws ${amps(state?.amps ?? null)}; without it ${names} may be damaged within minutes.`,
        doThis: `Switch off ${names}. Then see whether ${required.label}${placeWords(required)} is on and does its work.${note}`,
        cautions: [CAUTIONS.neverProvesDead, CAUTIONS.rotating],
        evidence: [
          {
            what: `Current of ${required.label}`,
            value: state?.amps.value ?? null,
            threshold: runningAbove(boat, required, state),
            unit: 'A',
          },
          ...named.map((own) => ({
            what: `Current of ${own.label}`,
            value: stateOf(context, own)?.amps.value ?? null,
            threshold: runningAbove(boat, own, stateOf(context, own)),
            unit: 'A',
          })),
        ],
        confidence: 'measured',
        points: pointsOf(boat, required.id, ...named.map((own) => own.id)),
      };
    },
  };
}

export const missingPrerequisite: Rule = (context) =>
  requiredCircuits(context.boat).map(({ required, dependents }) =>
    check(context, required, dependents),
  );
