/**
 * A lead-acid bank that has not been full for a fortnight hardens (sulphates) and loses capacity.
 * Only time in which its volts and current were known counts: who has not looked cannot say. A
 * lithium bank does not mind.
 */
import type { Check, Verdict } from '../alerts/check.ts';
import type { Battery } from '../boat/boat.ts';
import { chemistryLimits } from '../boat/chemistry-limits.ts';
import type { BatteryState } from '../panel/panel-state.ts';
import { BATTERY_CAUTIONS } from './battery-words.ts';
import { duration, percent, pointsOf } from './rule.ts';
import type { Rule, RuleContext } from './rule.ts';

const RULE = 'not-full';
const DAY_MS = 86_400_000;

function verdict(state: BatteryState, mostDays: number): Verdict {
  if (state.watchedSinceFullMs >= mostDays * DAY_MS) return 'raise';
  return state.volts.value === null || state.amps.value === null ? 'unknown' : 'clear';
}

function check({ boat }: RuleContext, battery: Battery, state: BatteryState): Check {
  const { limits } = boat;
  const own = chemistryLimits(boat, battery);
  return {
    rule: RULE,
    key: `${RULE}.${battery.id}`,
    levels: [{ priority: 'caution', verdict: verdict(state, limits.notFullDays), onDelayMs: 0 }],
    offDelayMs: 0,
    describe: () => ({
      rule: RULE,
      subject: { part: battery.id },
      priority: 'caution',
      title: `${state.label} has not been full for ${duration(state.watchedSinceFullMs)} of watching`,
      means: `It was not seen at ${own.fullVolts.toFixed(1)} V or more with less than ${percent(limits.fullAmpsRatio)} of its capacity in amperes. A lead-acid bank that is never full loses capacity, and what is counted of its charge drifts.`,
      doThis:
        'Give it one whole charge, which takes the better part of a day, and see whether its charger reaches the last stage.',
      cautions: [BATTERY_CAUTIONS.gas],
      evidence: [
        {
          what: 'Watched since it was full',
          value: state.watchedSinceFullMs / DAY_MS,
          threshold: limits.notFullDays,
          unit: 'd',
        },
      ],
      confidence: 'inferred',
      points: pointsOf(boat, battery.id),
    }),
  };
}

export const notFull: Rule = (context) =>
  context.boat.batteries.flatMap((battery) => {
    const state = context.panel.batteries.find((own) => own.id === battery.id);
    return state && battery.chemistry !== 'lifepo4' ? [check(context, battery, state)] : [];
  });
