/**
 * The readings cannot all be true: no position of the switches explains them. Either a sensor is
 * wrong, or current comes from where it should not.
 */
import type { Rule } from './rule.ts';
import { CAUTIONS, pointsOf } from './rule.ts';

const RULE = 'contradiction';

export const contradiction: Rule = ({ boat, panel }) => {
  const [first] = panel.contradictions;
  return [
    {
      rule: RULE,
      key: RULE,
      levels: [
        {
          priority: 'warning',
          verdict: first ? 'raise' : 'clear',
          onDelayMs: boat.limits.contradictionSeconds * 1000,
        },
      ],
      offDelayMs: boat.limits.contradictionSeconds * 1000,
      describe: () => ({
        rule: RULE,
        subject: { part: first?.parts[0] ?? '' },
        priority: 'warning',
        title: 'The readings contradict each other',
        means: `${panel.contradictions.flatMap((own) => own.because).join(' ')} A sensor is wrong or on the wrong wire, or a part is fed from where it should not be.`,
        doThis:
          'Compare the readings with a meter of your own, and have the wiring looked at if they are true. Until then trust no position that is shown.',
        cautions: [CAUTIONS.neverProvesDead, CAUTIONS.electrician],
        evidence: [],
        confidence: 'inferred',
        points: pointsOf(boat, ...panel.contradictions.flatMap((own) => own.parts)),
      }),
    },
  ];
};
