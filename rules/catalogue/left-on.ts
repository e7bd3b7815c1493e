/** With nobody aboard, something draws that a person would have to watch: heat, outlets, cooking. */
import type { Check } from '../alerts/check.ts';
import type { Circuit } from '../boat/boat.ts';
import type { CircuitState } from '../panel/panel-state.ts';
import { ONLY_AWAY } from './modes.ts';
import { amps, CAUTIONS, circuitState, duration, placeWords, pointsOf } from './rule.ts';
import type { Rule, RuleContext } from './rule.ts';

const RULE = 'left-on';

/** A thermostat's rest shorter than this does not start the time anew; also the off-delay. */
const REST_MS = 120_000;

/** Loads that nobody leaves on for good; what should be on is left alone. */
const isWatched = (circuit: Circuit): boolean =>
  (circuit.load === 'resistive' || circuit.load === 'mixed') &&
  circuit.standingOrder !== 'should be on' &&
  circuit.charges === undefined;

function check({ boat, panel, nowMs }: RuleContext, circuit: Circuit, state: CircuitState): Check {
  return {
    rule: RULE,
    key: `${RULE}.${circuit.id}`,
    modes: ONLY_AWAY,
    levels: [
      {
        priority: 'warning',
        verdict:
          state.activity === 'unknown'
            ? 'unknown'
            : state.activity === 'drawing'
              ? 'raise'
              : 'clear',
        onDelayMs: boat.limits.leftOnMinutes * 60_000,
        gapMs: REST_MS,
      },
    ],
    offDelayMs: REST_MS,
    describe() {
      const { sinceMs } = panel.mode;
      const aloneFor = sinceMs === null ? '' : ` for ${duration(nowMs - sinceMs)}`;
      const watts = state.watts.value;
      const load =
        watts === null ? amps(state.amps) : `${amps(state.amps)}, ${Math.round(watts)} W`;
      return {
        rule: RULE,
        subject: { part: circuit.id },
        priority: 'warning',
        title: `Nobody aboard, and ${circuit.label} draws ${load}`,
        means: `The boat has been left${aloneFor}. Something has been left on that somebody should watch, or a socket is in use that nobody knows of.`,
        doThis: `Have somebody aboard look at what runs on ${circuit.label}${placeWords(circuit)} and switch it off. If it is meant to run, give it the standing order "should be on".`,
        cautions: [CAUTIONS.neverProvesDead],
        evidence: [
          { what: 'Current', value: state.amps.value, threshold: circuit.drawingAmps, unit: 'A' },
        ],
        confidence: state.amps.evidence === 'measured' ? 'measured' : 'inferred',
        points: pointsOf(boat, circuit.id),
      };
    },
  };
}

export const leftOn: Rule = (context) =>
  context.boat.circuits.filter(isWatched).flatMap((circuit) => {
    const state = circuitState(context.panel, circuit.id);
    return state ? [check(context, circuit, state)] : [];
  });
