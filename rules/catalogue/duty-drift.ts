/**
 * A motor that cycles day and night works more and more, week by week, against its own best recent
 * week. A season moves it too, but slowly and not so far.
 */
import type { Check, Verdict } from '../alerts/check.ts';
import type { Circuit } from '../boat/boat.ts';
import { weekDuty } from '../panel/habit-days.ts';
import { CAUTIONS, habitOf, percent, placeWords, pointsOf } from './rule.ts';
import type { Rule, RuleContext } from './rule.ts';
import { mayCycle, steadyCycle } from './steady-cycle.ts';

const RULE = 'duty-drift';

/** Weeks that must be known to compare with. */
const WEEKS_TO_LEARN = 2;
/** Of the rise that raises it, it must lose so much to be over. */
const DEADBAND_RATIO = 0.5;

function verdict(
  limits: RuleContext['boat']['limits'],
  week: number | null,
  best: number,
): Verdict {
  if (week === null) return 'clear';
  const rise = Math.max((limits.dutyDriftRatio - 1) * best, limits.dutyDriftPointsRatio);
  if (week >= best + rise) return 'raise';
  return week <= best + rise * (1 - DEADBAND_RATIO) ? 'clear' : 'hold';
}

function check(context: RuleContext, circuit: Circuit): Check {
  const { boat } = context;
  const memory = habitOf(context, circuit.id);
  const weeks = memory?.weeks ?? [];
  const isKnown = steadyCycle(circuit, memory) !== null && weeks.length >= WEEKS_TO_LEARN;
  const week = isKnown && memory ? weekDuty(memory) : null;
  const best = weeks.length > 0 ? Math.min(...weeks) : 0;
  return {
    rule: RULE,
    key: `${RULE}.${circuit.id}`,
    levels: [{ priority: 'caution', verdict: verdict(boat.limits, week, best), onDelayMs: 0 }],
    offDelayMs: 0,
    describe: () => ({
      rule: RULE,
      subject: { part: circuit.id },
      priority: 'caution',
      title: `${circuit.label} now runs ${percent(week ?? 0)} of the time; it was ${percent(best)}`,
      means: `That is the median of the last seven days against the best of the last ${weeks.length} weeks, more than a season explains. It still does its work, and works harder for it.`,
      doThis: `Clean the coil of ${circuit.label}${placeWords(circuit)}, free its air, and check the seal of its door; if that does not help, have it looked at.`,
      cautions: [CAUTIONS.rotating, CAUTIONS.electrician],
      evidence: [
        {
          what: 'Share of the time running, last week',
          value: week === null ? null : Math.round(week * 100),
          threshold: Math.round(
            100 *
              (best +
                Math.max(
                  (boat.limits.dutyDriftRatio - 1) * best,
                  boat.limits.dutyDriftPointsRatio,
                )),
          ),
          unit: '%',
        },
      ],
      confidence: 'measured',
      points: pointsOf(boat, circuit.id),
    }),
  };
}

export const dutyDrift: Rule = (context) =>
  context.boat.circuits.filter(mayCycle).map((circuit) => check(context, circuit));
