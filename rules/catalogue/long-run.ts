/** A load runs far longer than it ever does on a normal day: forgotten, stuck, or in trouble. */
import type { Check, Verdict } from '../alerts/check.ts';
import type { Circuit } from '../boat/boat.ts';
import { CAUTIONS, circuitState, duration, habitOf, placeWords, pointsOf } from './rule.ts';
import type { Rule, RuleContext } from './rule.ts';
import { steadyCycle } from './steady-cycle.ts';

const RULE = 'long-run';

const DAYS_TO_LEARN = 5;
/** A stop must last so long to count as one. */
const STOP_MS = 60_000;

/** Electronics and chargers run for days by their nature; pumps have rules of their own. */
const isWatched = ({ load, duty }: Circuit): boolean =>
  load !== 'electronics' && load !== 'charger' && duty === undefined;

function check(context: RuleContext, circuit: Circuit): Check {
  const { boat, panel } = context;
  const { longRunHours, longRunRatio } = boat.limits;
  const memory = habitOf(context, circuit.id);
  const normal = memory?.normal;
  const phase = circuitState(panel, circuit.id)?.habits.phase ?? 'unknown';
  const runs = phase === 'running' || phase === 'starting';
  const ranMs = runs && memory ? memory.stretch.seenMs : 0;
  const usualMs = normal?.longestRunMs ?? 0;
  const mostMs = Math.max(longRunHours * 3_600_000, longRunRatio * usualMs);
  const verdict = (): Verdict => {
    if (phase === 'unknown') return 'unknown';
    // What cycles steadily has a rule of its own, with its own words.
    const isKnown = normal && normal.days >= DAYS_TO_LEARN && !steadyCycle(circuit, memory);
    if (!isKnown || !runs) return 'clear';
    return ranMs > mostMs ? 'raise' : 'hold';
  };
  return {
    rule: RULE,
    key: `${RULE}.${circuit.id}`,
    levels: [{ priority: 'caution', verdict: verdict(), onDelayMs: 0 }],
    offDelayMs: STOP_MS,
    describe: () => ({
      rule: RULE,
      subject: { part: circuit.id },
      priority: 'caution',
      title: `${circuit.label} has run for ${duration(ranMs)}, far longer than usual`,
      means: `On a normal day its longest run lasts ${duration(usualMs)}, by the last ${normal?.days ?? 0} days. It may have been forgotten, or what it does never gets done.`,
      doThis: `See what runs on ${circuit.label}${placeWords(circuit)} and whether it should.`,
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

export const longRun: Rule = (context) =>
  context.boat.circuits.filter(isWatched).map((circuit) => check(context, circuit));
