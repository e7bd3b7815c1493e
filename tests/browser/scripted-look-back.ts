/** What the daemon might answer about a past time: the load survey and the bands of a chart. */
import type {
  AlertBand,
  BandsAnswer,
  SurveyAnswer,
  SurveyFigures,
} from '../../daemon/api/contract.ts';
import { PAST_ALERTS } from './scripted-alerts.ts';
import { EVENING_MS, scriptedPanel } from './scripted-panel.ts';

const HOUR_MS = 3_600_000;
const SHARES = [0, 0.01, 0.05, 0.1, 0.2, 0.3, 0.5, 0.7, 0.9, 0.99, 1];

interface Span {
  fromMs: number;
  toMs: number;
}

/** Two changes of the house bus: on the generator from three to one and a half hours ago. */
export const SOURCE_EVENTS: BandsAnswer['sourceEvents'] = [
  {
    atMs: EVENING_MS - 3 * HOUR_MS,
    type: 'source changed',
    part: 'house-bus',
    text: 'House bus is now fed by Small generator; before, by Bow inlet.',
    feed: { by: 'small-generator', before: 'bow-inlet' },
  },
  {
    atMs: EVENING_MS - 1.5 * HOUR_MS,
    type: 'source changed',
    part: 'house-bus',
    text: 'House bus is now fed by Bow inlet; before, by Small generator.',
    feed: { by: 'bow-inlet', before: 'small-generator' },
  },
];

export function scriptedBands({ fromMs, toMs }: Span): BandsAnswer {
  const alerts = PAST_ALERTS.map(
    ({ id, rule, subject, priority, title, phase, raisedAtMs, returnedAtMs }): AlertBand => ({
      id,
      rule,
      subject,
      priority,
      title,
      phase,
      fromMs: raisedAtMs,
      toMs: returnedAtMs,
    }),
  );
  return {
    fromMs,
    toMs,
    alerts: alerts
      .filter((alert) => alert.fromMs < toMs && (alert.toMs ?? toMs) >= fromMs)
      .sort((a, b) => a.fromMs - b.fromMs),
    sourceEvents: SOURCE_EVENTS.filter(({ atMs }) => atMs >= fromMs && atMs < toMs),
    before: SOURCE_EVENTS.filter(({ atMs }) => atMs < fromMs).slice(-1),
    isComplete: true,
  };
}

function figures(span: Span, watts: number, coverage: number, runs: boolean): SurveyFigures {
  const knownMs = (span.toMs - span.fromMs) * coverage;
  const isKnown = knownMs > 0;
  return {
    coverage,
    knownMs,
    readings: Math.round(knownMs / 1000),
    total: isKnown ? (watts * knownMs) / HOUR_MS : null,
    mean: isKnown ? watts : null,
    least: isKnown ? { value: 0, atMs: span.fromMs } : null,
    most: isKnown ? { value: watts * 2.4, atMs: span.fromMs + 60_000 } : null,
    peakDemand: isKnown ? { fromMs: span.fromMs, mean: watts * 1.7, coverage: 0.98 } : null,
    runs: runs && isKnown ? { runMs: knownMs * 0.4, knownMs, starts: 11, dutyRatio: 0.4 } : null,
    loadDuration: SHARES.map((share) => (isKnown ? watts * 2.4 * (1 - share) ** 2 : null)),
  };
}

/** Every source and all circuits but the first are measured; the last one was silent all the time. */
export function scriptedSurvey(span: Span): SurveyAnswer {
  const panel = scriptedPanel(EVENING_MS);
  const circuits = panel.circuits.slice(1).map(({ id, label }, index, all) => ({
    id,
    label,
    part: 'circuit' as const,
    basis: index % 3 === 0 ? ('measured watts' as const) : ('amps and volts' as const),
    power: figures(span, 90 + ((index * 37) % 11) * 70, index === all.length - 1 ? 0 : 0.97, true),
  }));
  const sources = panel.sources.slice(0, 3).map(({ id, label }, index) => ({
    id,
    label,
    part: 'source' as const,
    basis: 'amps and volts' as const,
    power: figures(span, 2400 / (index + 1), 0.97, true),
  }));
  return {
    boat: 'Sable Plover',
    ...span,
    roughMs: 0,
    durationShares: SHARES,
    parts: [...sources, ...circuits],
    points: panel.points.flatMap(({ id, of, unit, quantity }) =>
      quantity === 'position' || quantity === 'switch'
        ? []
        : [{ id, of, unit, values: figures(span, 12, 0.97, false) }],
    ),
  };
}
