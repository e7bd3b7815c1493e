/** Shore frequency out of its band: a small or struggling generator stands ashore. */
import type { Check, Verdict } from '../alerts/check.ts';
import { CAUTIONS, pointsOf } from './rule.ts';
import type { Rule, RuleContext } from './rule.ts';
import type { Inlet } from './shore-inlets.ts';
import { inletsOf } from './shore-inlets.ts';

const RULE = 'shore-frequency';

/** Within nine tenths of the limit it is back in its band. */
const CLEAR_SHARE = 0.9;

function verdict({ boat }: RuleContext, { state }: Inlet, limitRatio: number): Verdict {
  const nominal = boat.ac?.hertz;
  if (nominal === undefined || state.hertz.value === null) return 'unknown';
  // A dead supply has no frequency to judge.
  if (!state.legs.some((leg) => leg.live === 'live')) return 'clear';
  const off = Math.abs(state.hertz.value - nominal) / nominal;
  if (off > limitRatio) return 'raise';
  return off <= limitRatio * CLEAR_SHARE ? 'clear' : 'hold';
}

function check(context: RuleContext, own: Inlet): Check {
  const { boat } = context;
  const { limits } = boat;
  const { inlet, state } = own;
  const nominal = boat.ac?.hertz ?? 0;
  return {
    rule: RULE,
    key: `${RULE}.${inlet.id}`,
    levels: [
      {
        priority: 'warning',
        verdict: verdict(context, own, limits.shoreHertzHighRatio),
        onDelayMs: limits.shoreHertzHighSeconds * 1000,
      },
      {
        priority: 'caution',
        verdict: verdict(context, own, limits.shoreHertzRatio),
        onDelayMs: limits.shoreHertzSeconds * 1000,
      },
    ],
    offDelayMs: limits.voltageClearSeconds * 1000,
    describe(priority) {
      const ratio = priority === 'warning' ? limits.shoreHertzHighRatio : limits.shoreHertzRatio;
      const hertz = state.hertz.value;
      const isHigh = (hertz ?? 0) > nominal;
      return {
        rule: RULE,
        subject: { part: inlet.id },
        priority,
        title: `Shore frequency is ${isHigh ? 'high' : 'low'}: ${inlet.label} is at ${hertz?.toFixed(1) ?? 'unknown'} Hz`,
        means: `The supply ashore is likely a generator that ${isHigh ? 'runs too fast' : 'is pulled down by its load'}. Motors and transformers run off their speed and may run hot.`,
        doThis:
          'Run few motors on it, watch the voltage, and ask the dock about its supply if it goes on.',
        cautions: [CAUTIONS.electrician],
        evidence: [
          {
            what: 'Frequency',
            value: hertz,
            threshold: nominal * (1 + (isHigh ? ratio : -ratio)),
            unit: 'Hz',
          },
        ],
        confidence: 'measured',
        points: pointsOf(boat, inlet.id),
      };
    },
  };
}

export const shoreFrequency: Rule = (context) =>
  inletsOf(context).map((own) => check(context, own));
