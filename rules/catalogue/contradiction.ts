/**
 * The readings cannot all be true: no position of the switches explains them, or clamps disagree.
 * Either a sensor is wrong, or current comes from where it should not.
 */
import type { Priority } from '../alerts/alert.ts';
import type { Check, Verdict } from '../alerts/check.ts';
import type { Boat } from '../boat/boat.ts';
import type { Contradiction, Culprit, PanelState } from '../panel/panel-state.ts';
import type { Rule } from './rule.ts';
import { CAUTIONS, label, pointsOf } from './rule.ts';

const RULE = 'contradiction';

/** What several steps of a clamp have shown: nothing is in danger, but numbers are wrong. */
const SETTINGS: ReadonlySet<Culprit['kind']> = new Set([
  'clamp on the wrong leg',
  'reversed clamp',
  'swapped clamps',
  'duplicated clamp',
  'wrong scale',
]);

const isSetting = ({ culprit }: Contradiction): boolean =>
  culprit !== null && SETTINGS.has(culprit.kind);

export const contradiction: Rule = ({ boat, panel }) => {
  const positions = panel.contradictions.filter((own) => !isSetting(own));
  const isFed = positions.some((own) => own.culprit?.kind === 'backfeed');
  const offDelayMs = boat.limits.contradictionSeconds * 1000;
  const level = (priority: Priority, verdict: Verdict) => ({
    priority,
    verdict,
    onDelayMs: offDelayMs,
  });
  const whole: Check = {
    rule: RULE,
    key: RULE,
    levels: [
      level('alarm', isFed ? 'raise' : 'clear'),
      level('warning', positions.length > 0 ? 'raise' : 'clear'),
    ],
    offDelayMs,
    describe: (priority) => finding(boat, positions, priority),
  };
  return [whole, ...settings(boat, panel, offDelayMs)];
};

/** One check for every clamp that has been caught. */
function settings(boat: Boat, panel: PanelState, delayMs: number): Check[] {
  return panel.contradictions.filter(isSetting).map((own) => ({
    rule: RULE,
    key: `${RULE}.${own.culprit?.points[0] ?? ''}`,
    levels: [{ priority: 'caution', verdict: 'raise', onDelayMs: delayMs }],
    offDelayMs: delayMs,
    describe: () => finding(boat, [own], 'caution'),
  }));
}

const TITLES: Readonly<Record<Culprit['kind'], (part: string) => string>> = {
  backfeed: (part) => `${part} has voltage that no source of the boat explains`,
  'dead sensor': (part) => `A sensor of ${part} seems to be dead`,
  'frozen sensor': (part) => `A sensor of ${part} seems to be frozen`,
  'clamp on the wrong wire': (part) => `The clamp of ${part} seems to be on the wrong wire`,
  'clamp on the wrong leg': (part) => `The clamp of ${part} seems to be on the wrong leg`,
  'swapped clamps': (part) => `The clamp of ${part} seems to be exchanged with another`,
  'duplicated clamp': (part) => `The clamp of ${part} is reported twice, under two names`,
  'reversed clamp': (part) => `The clamp of ${part} seems to be the wrong way round`,
  'wrong scale': (part) => `The scale of a clamp of ${part} seems to be wrong`,
};

const DO_THIS: Readonly<Record<Culprit['kind'] | 'none', string>> = {
  none: 'Compare the readings with a meter of your own, and have the wiring looked at if they are true. Until then trust no position that is shown.',
  backfeed:
    'Keep hands off the panel, the inlets and the plugs. Look for a second supply: an inverter, a cord from another boat, a generator on an outlet. Have an electrician find it.',
  'dead sensor':
    'Look at the sensor and its fuse and wires. Until then trust no position that is shown.',
  'frozen sensor': 'Restart the sensor. Until then trust no position that is shown.',
  'clamp on the wrong wire': 'Compare with a clamp meter, and have the clamp moved to its wire.',
  'clamp on the wrong leg': 'Have the leg checked, then move the clamp or correct the boat file.',
  'swapped clamps': 'Have the two clamps exchanged, or exchange their points in the boat file.',
  'duplicated clamp':
    'Compare the two points in the boat file with the channels of the sensor, and correct one.',
  'reversed clamp': 'Have the clamp turned round, or set its sign in the boat file.',
  'wrong scale': 'Compare with a clamp meter, then correct the scale in the boat file.',
};

function finding(boat: Boat, found: readonly Contradiction[], priority: Priority) {
  const named =
    found.find((own) => own.culprit?.kind === 'backfeed') ?? found.find((own) => own.culprit);
  const culprit = named?.culprit ?? null;
  const points = culprit?.points ?? [];
  const part = boat.points.get(points[0] ?? '')?.of ?? found[0]?.parts[0] ?? '';
  const because = found.flatMap((own) => own.because).join(' ');
  const rest =
    'A sensor is wrong or on the wrong wire, or a part is fed from where it should not be.';
  return {
    rule: RULE,
    subject: { part },
    priority,
    title: culprit ? TITLES[culprit.kind](label(boat, part)) : 'The readings contradict each other',
    means: `${because} ${culprit?.text ?? rest}`,
    doThis: DO_THIS[culprit?.kind ?? 'none'],
    cautions: [CAUTIONS.neverProvesDead, CAUTIONS.electrician],
    evidence: [],
    confidence: 'inferred' as const,
    points: culprit ? points : pointsOf(boat, ...found.flatMap((own) => own.parts)),
  };
}
