/**
 * A bank that holds less than its plate says, as deep discharges have shown. Never told from one of
 * them, and never cleared by silence: what was learned stays until newer discharges say otherwise.
 */
import type { Check, Verdict } from '../alerts/check.ts';
import type { Battery } from '../boat/boat.ts';
import type { BatteryState } from '../panel/panel-state.ts';
import { BATTERY_CAUTIONS } from './battery-words.ts';
import { percent, pointsOf } from './rule.ts';
import type { Rule, RuleContext } from './rule.ts';

const RULE = 'bank-worn';
/** Must come back by so much of the rating. */
const CLEAR_RATIO = 0.05;

function verdict({ learnedCapacity, ampHours }: BatteryState, wornRatio: number): Verdict {
  if (learnedCapacity === null) return 'unknown';
  const ratio = learnedCapacity.ampHours / ampHours;
  if (ratio < wornRatio) return 'raise';
  return ratio >= wornRatio + CLEAR_RATIO ? 'clear' : 'hold';
}

function check({ boat }: RuleContext, battery: Battery, state: BatteryState): Check {
  const { capacityWornRatio } = boat.limits;
  const isLithium = battery.chemistry === 'lifepo4';
  return {
    rule: RULE,
    key: `${RULE}.${battery.id}`,
    levels: [{ priority: 'caution', verdict: verdict(state, capacityWornRatio), onDelayMs: 0 }],
    offDelayMs: 0,
    describe() {
      const { ampHours, cycles } = state.learnedCapacity ?? { ampHours: 0, cycles: 0 };
      const held = Math.round(ampHours);
      return {
        rule: RULE,
        subject: { part: battery.id },
        priority: 'caution',
        title: `${state.label} holds about ${held} Ah, less than its rated ${battery.ampHours} Ah`,
        means: `On its last ${cycles} deep discharges it was as low as its volts say after far less than it should give: it holds ${percent(ampHours / battery.ampHours)} of its rating, give or take a sixth. Hours left are told with that. A monitor that is set to the rating says too much; a cold bank gives less as well.`,
        doThis:
          'Plan with the smaller figure. Have its cells or batteries tested one by one, for one bad one spoils the rest, and look at their terminals.',
        cautions: isLithium
          ? [BATTERY_CAUTIONS.shortCircuit]
          : [BATTERY_CAUTIONS.shortCircuit, BATTERY_CAUTIONS.gas],
        evidence: [
          {
            what: 'Capacity by deep discharges',
            value: held,
            threshold: Math.round(capacityWornRatio * battery.ampHours),
            unit: 'Ah',
          },
        ],
        confidence: 'inferred',
        points: pointsOf(boat, battery.id),
      };
    },
  };
}

export const bankWorn: Rule = (context) =>
  context.boat.batteries.flatMap((battery) => {
    const state = context.panel.batteries.find((own) => own.id === battery.id);
    return state ? [check(context, battery, state)] : [];
  });
