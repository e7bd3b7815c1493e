/**
 * A circuit runs without the circuit it requires: air conditioners without their cooling water
 * pump, say. One alert for each circuit that is missing, naming all that run without it.
 */
import type { Check, Verdict } from '../alerts/check.ts';
import { worst } from '../alerts/check.ts';
import type { Circuit, PartId } from '../boat/boat.ts';
import { byId } from '../panel/lookup.ts';
import { inWords } from '../panel/reasons.ts';
import { amps, CAUTIONS, isRunning, pointsOf, runningAbove } from './rule.ts';
import type { Rule, RuleContext } from './rule.ts';

const RULE = 'missing-prerequisite';

function stateOf({ panel }: RuleContext, circuit: Circuit) {
  return byId(panel.circuits, circuit.id);
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
    describe() {
      const running = dependents.filter((_, i) => verdicts[i] === 'raise');
      const named = running.length > 0 ? running : dependents;
      const names = inWords(named.map((own) => own.label));
      const place = required.position === undefined ? '' : ` (breaker ${required.position})`;
      const note = required.note === undefined ? '' : ` ${required.note}`;
      return {
        rule: RULE,
        subject: { part: required.id },
        priority: 'alarm',
        title: `${names} ${named.length > 1 ? 'run' : 'runs'} without ${required.label}`,
        means: `${required.label} draws ${amps(state?.amps ?? null)}; without it ${names} may be damaged within minutes.`,
        doThis: `Switch off ${names}. Then see whether ${required.label}${place} is on and does its work.${note}`,
        cautions: [CAUTIONS.neverProvesDead, CAUTIONS.rotating],
        evidence: [
          {
            what: `Current of ${required.label}`,
            value: state?.amps.value ?? null,
            threshold: runningAbove(boat, required),
            unit: 'A',
          },
          ...named.map((own) => ({
            what: `Current of ${own.label}`,
            value: stateOf(context, own)?.amps.value ?? null,
            threshold: runningAbove(boat, own),
            unit: 'A',
          })),
        ],
        confidence: 'measured',
        points: pointsOf(boat, required.id, ...named.map((own) => own.id)),
      };
    },
  };
}

export const missingPrerequisite: Rule = (context) => {
  const { circuits } = context.boat;
  const dependentsOf = new Map<PartId, Circuit[]>();
  for (const own of circuits) {
    for (const id of own.requires) dependentsOf.set(id, [...(dependentsOf.get(id) ?? []), own]);
  }
  return circuits.flatMap((required) => {
    const dependents = dependentsOf.get(required.id);
    return dependents ? [check(context, required, dependents)] : [];
  });
};
