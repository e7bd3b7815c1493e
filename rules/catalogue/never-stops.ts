/** A motor that cycles day and night has stopped to stop: it no longer gets done what it is for. */
import type { Check, Verdict } from '../alerts/check.ts';
import type { Circuit } from '../boat/boat.ts';
import {
  CAUTIONS,
  circuitState,
  duration,
  habitOf,
  percent,
  placeWords,
  pointsOf,
} from './rule.ts';
import type { Rule, RuleContext } from './rule.ts';
import { mayCycle, steadyCycle } from './steady-cycle.ts';

const RULE = 'never-stops';

/** A stop must last so long to count as one. */
const STOP_MS = 60_000;

function check(context: RuleContext, circuit: Circuit): Check {
  const { boat, panel } = context;
  const memory = habitOf(context, circuit.id);
  const normal = steadyCycle(circuit, memory);
  const phase = circuitState(panel, circuit.id)?.habits.phase ?? 'unknown';
  const runs = phase === 'running' || phase === 'starting';
  const ranMs = runs && memory ? memory.stretch.seenMs : 0;
  const mostMs = boat.limits.neverStopsHours * 3_600_000;
  const verdict = (): Verdict => {
    if (phase === 'unknown') return 'unknown';
    if (!normal || !runs) return 'clear';
    return ranMs > mostMs ? 'raise' : 'hold';
  };
  return {
    rule: RULE,
    key: `${RULE}.${circuit.id}`,
    levels: [{ priority: 'warning', verdict: verdict(), onDelayMs: 0 }],
    offDelayMs: STOP_MS,
    describe: () => ({
      rule: RULE,
      subject: { part: circuit.id },
      priority: 'warning',
      title: `${circuit.label} has run for ${duration(ranMs)} without a stop`,
      means: `Usually it rests several times an hour or day and runs ${percent(normal?.dutyRatio ?? 0)} of the time. What it keeps cold may be getting warm: a door ajar, a dirty coil, no air, lost gas.`,
      doThis: `Look whether ${circuit.label}${placeWords(circuit)} still cools, shut its door and free its air; save what must stay cold if it does not.`,
      cautions: [CAUTIONS.neverProvesDead],
      evidence: [
        {
          what: 'Time running without a stop',
          value: Math.round(ranMs / 60_000),
          threshold: Math.round(mostMs / 60_000),
          unit: 'min',
        },
      ],
      confidence: 'measured',
      points: pointsOf(boat, circuit.id),
    }),
  };
}

export const neverStops: Rule = (context) =>
  context.boat.circuits.filter(mayCycle).map((circuit) => check(context, circuit));
