/** From a survey to what is shown of it: rows in order, bars, and the load-duration curve. Pure. */
import type { PanelState, SurveyAnswer, SurveyFigures } from '../../daemon/api/contract.ts';

export type SurveyedPart = SurveyAnswer['parts'][number];

export interface EnergyRow {
  id: string;
  label: string;
  figures: SurveyFigures;
  /** Energy in and out of it over the known time, Wh; null: no time is known. */
  wattHours: number | null;
  /** Length of its bar, 0..1 of the longest. */
  share: number;
  /** Only volts times amperes are known: the energy is at most so much. */
  isUpperBound: boolean;
}

/** What was measured of one kind of part, most energy first; what has no known time comes last. */
export function energyRows(survey: SurveyAnswer, kind: SurveyedPart['part']): EnergyRow[] {
  const parts = survey.parts.filter(({ part }) => part === kind);
  const most = Math.max(0, ...parts.map(({ power }) => Math.abs(power.total ?? 0)));
  return parts
    .map(({ id, label, power, basis }) => ({
      id,
      label,
      figures: power,
      wattHours: power.total,
      share: most === 0 ? 0 : Math.abs(power.total ?? 0) / most,
      isUpperBound: basis !== 'measured watts',
    }))
    .sort(
      (a, b) => sizeOf(b) - sizeOf(a) || a.label.localeCompare(b.label) || a.id.localeCompare(b.id),
    );
}

/** Below every known size where nothing is known. */
const sizeOf = ({ wattHours }: EnergyRow): number =>
  wattHours === null ? -1 : Math.abs(wattHours);

/** Labels of circuits that nothing measures. */
export function notMeasured(survey: SurveyAnswer, panel: Pick<PanelState, 'circuits'>): string[] {
  const measured = new Set(survey.parts.map(({ id }) => id));
  return panel.circuits.filter(({ id }) => !measured.has(id)).map(({ label }) => label);
}

/** Whether anything at all was recorded in the surveyed time. */
export function isEmpty({ parts, points }: SurveyAnswer): boolean {
  return (
    parts.every(({ power }) => power.knownMs === 0) &&
    points.every(({ values }) => values.knownMs === 0)
  );
}

/** Share of the span in which the average measured part was known, 0..1; null: nothing measured. */
export function coverageOf({ points }: SurveyAnswer): { least: number; mean: number } | null {
  if (points.length === 0) return null;
  const shares = points.map(({ values }) => values.coverage);
  return {
    least: Math.min(...shares),
    mean: shares.reduce((sum, share) => sum + share, 0) / shares.length,
  };
}

export interface CurveSpot {
  /** Share of the known time, 0..1. */
  share: number;
  /** Level that was exceeded for that share. */
  level: number;
}

/** The load-duration curve; empty where no time is known. */
export function durationCurve(
  levels: readonly (number | null)[],
  shares: readonly number[],
): CurveSpot[] {
  return shares.flatMap((share, index) => {
    const level = levels[index];
    return level == null ? [] : [{ share, level }];
  });
}

export interface Scale {
  least: number;
  most: number;
  /** Round numbers from `least` to `most`. */
  marks: number[];
}

/** A scale with some five round marks over all levels and zero. */
export function scaleFor(levels: readonly number[]): Scale {
  const low = Math.min(0, ...levels);
  const high = Math.max(0, ...levels);
  // Less than this is nothing: a level read back as zero is not always quite zero.
  const step = roundStep((high - low > 1e-6 ? high - low : 1) / 5);
  const least = Math.floor(low / step + 1e-9) * step;
  const most = Math.max(least + step, Math.ceil(high / step - 1e-9) * step);
  const count = Math.round((most - least) / step);
  return {
    least,
    most,
    marks: Array.from({ length: count + 1 }, (_, index) => least + index * step),
  };
}

/** The next 1, 2 or 5 times a power of ten. */
function roundStep(rough: number): number {
  const power = 10 ** Math.floor(Math.log10(rough));
  return ([1, 2, 5].find((digit) => digit * power >= rough * (1 - 1e-9)) ?? 10) * power;
}
