/** The load survey of a boat as a table for a person with a terminal or a printer. */
import { DURATION_SHARES } from '../../rules/index.ts';
import type { BoatSurveyed, PartSurvey } from '../../rules/index.ts';

/** Present instants of the daemon's clock as a person reads them. */
export type TextOf = (atMs: number) => string;

const BASIS_MARKS = {
  'measured watts': '',
  'amps and volts': '*',
  'amps and nominal volts': '**',
} as const;

const NOTES = [
  '*  volts times amperes: apparent power, an upper bound of the energy where a motor draws it.',
  '** amperes times nominal volts: nothing measures volts there.',
  'Energy, run time and starts are those of the covered time only; what lay in gaps is not known.',
  'Peak demand is the highest mean of a quarter of an hour of the clock.',
  "A survey informs. Judge it with the sensors' own error in mind; local codes and a licensed electrician come first.",
];

const HEAD = [
  '',
  'energy',
  'mean',
  'peak demand',
  'at',
  'highest',
  'run time',
  'starts',
  'duty',
  'coverage',
];

export function surveyText(survey: BoatSurveyed, version: string, textOf: TextOf): string {
  const measured = survey.parts.filter(({ power }) => power.readings > 0);
  const rows = measured.map((own) => rowOf(own, textOf));
  return [
    `Load survey of ${survey.boat}`,
    `From ${textOf(survey.fromMs)} to ${textOf(survey.toMs)}, panelward ${version}`,
    '',
    ...(rows.length === 0 ? ['Nothing was measured in that time.'] : table([HEAD, ...rows])),
    '',
    ...durationLines(measured),
    ...NOTES,
  ].join('\n');
}

function rowOf({ label, basis, power }: PartSurvey, textOf: TextOf): string[] {
  const { total, mean, peakDemand, most, runs, coverage } = power;
  return [
    label,
    total === null ? '-' : `${kilowattHours(total)}${BASIS_MARKS[basis]}`,
    watts(mean),
    watts(peakDemand?.mean ?? null),
    peakDemand ? textOf(peakDemand.fromMs) : '-',
    watts(most?.value ?? null),
    runs ? hours(runs.runMs) : '-',
    runs ? String(runs.starts) : '-',
    runs?.dutyRatio == null ? '-' : percent(runs.dutyRatio),
    percent(coverage),
  ];
}

/** Sources only: what a supply has to carry, and for how long. */
function durationLines(parts: readonly PartSurvey[]): string[] {
  const sources = parts.filter(({ part, power }) => part === 'source' && power.total !== null);
  if (sources.length === 0) return [];
  const head = ['Exceeded for', ...sources.map(({ label }) => label)];
  const rows = DURATION_SHARES.map((share, at) =>
    [`${(share * 100).toFixed(0)} % of the time`].concat(
      sources.map(({ power }) => watts(power.loadDuration[at] ?? null)),
    ),
  );
  return [...table([head, ...rows]), ''];
}

const watts = (value: number | null): string => (value === null ? '-' : `${value.toFixed(0)} W`);
const kilowattHours = (wattHours: number): string => `${(wattHours / 1000).toFixed(2)} kWh`;
const hours = (ms: number): string => `${(ms / 3_600_000).toFixed(1)} h`;
/** Never 100 % while anything is missing. */
const percent = (ratio: number): string => `${(Math.floor(ratio * 1000) / 10).toFixed(1)} %`;

/** Columns as wide as their widest field; the first to the left, the others to the right. */
function table(rows: readonly (readonly string[])[]): string[] {
  const widths = (rows[0] ?? []).map((_, at) =>
    Math.max(...rows.map((row) => row[at]?.length ?? 0)),
  );
  return rows.map((row) =>
    row
      .map((field, at) =>
        at === 0 ? field.padEnd(widths[at] ?? 0) : field.padStart(widths[at] ?? 0),
      )
      .join('  ')
      .trimEnd(),
  );
}
