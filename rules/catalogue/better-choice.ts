/** A circuit draws although the one that the boat file prefers to it has power. */
import type { Check, Verdict } from '../alerts/check.ts';
import type { Circuit } from '../boat/boat.ts';
import type { CircuitState } from '../panel/panel-state.ts';
import { IN_USE } from './modes.ts';
import { amps, CAUTIONS, circuitState, placeWords, pointsOf } from './rule.ts';
import type { Rule, RuleContext } from './rule.ts';

const RULE = 'better-choice';

function verdict(state: CircuitState, preferred: Circuit, other: CircuitState): Verdict {
  const isUsable = preferred.standingOrder !== 'out of service' && other.live !== 'dead';
  if (!isUsable || state.activity === 'not drawing') return 'clear';
  return state.activity === 'unknown' || other.live === 'unknown' ? 'unknown' : 'raise';
}

function check(
  { boat }: RuleContext,
  circuit: Circuit,
  state: CircuitState,
  preferred: Circuit,
  other: CircuitState,
): Check {
  const delayMs = boat.limits.preferMinutes * 60_000;
  return {
    rule: RULE,
    key: `${RULE}.${circuit.id}`,
    modes: IN_USE,
    levels: [
      {
        priority: 'caution',
        verdict: verdict(state, preferred, other),
        onDelayMs: delayMs,
        // A pump or a thermostat works in bursts; they are counted together.
        gapMs: delayMs,
      },
    ],
    offDelayMs: delayMs,
    describe: () => ({
      rule: RULE,
      subject: { part: circuit.id },
      priority: 'caution',
      title: `${circuit.label} is in use although ${preferred.label} has power`,
      means: `${circuit.label} draws ${amps(state.amps)}. The boat file prefers ${preferred.label}, whose bus reads live.`,
      doThis: `Use ${preferred.label}${placeWords(preferred)} instead, and switch ${circuit.label}${placeWords(circuit)} off.`,
      cautions: [CAUTIONS.neverProvesDead],
      evidence: [
        {
          what: `Current of ${circuit.label}`,
          value: state.amps.value,
          threshold: circuit.drawingAmps,
          unit: 'A',
        },
      ],
      confidence: state.amps.evidence === 'measured' ? 'measured' : 'inferred',
      points: pointsOf(boat, circuit.id, preferred.id),
    }),
  };
}

export const betterChoice: Rule = (context) =>
  context.boat.circuits.flatMap((circuit) => {
    const part = context.boat.parts.get(circuit.preferInstead ?? '');
    const state = circuitState(context.panel, circuit.id);
    const other = part && circuitState(context.panel, part.id);
    if (part?.part !== 'circuit' || !state || !other) return [];
    return [check(context, circuit, state, part, other)];
  });
