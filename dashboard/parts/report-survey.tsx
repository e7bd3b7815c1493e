/** The tables of a load survey, as they are printed. */
import type { SurveyAnswer } from '../../daemon/api/contract.ts';
import {
  ageText,
  coverageText,
  DASH,
  energyText,
  fixed,
  hoursText,
  powerText,
  stampText,
} from '../format.ts';
import { panel } from '../live.ts';
import {
  durationCurve,
  energyRows,
  notMeasured,
  type EnergyRow,
  type SurveyedPart,
} from '../models/survey-figures.ts';
import { texts } from '../texts.ts';
import { DurationCurve } from './duration-curve.tsx';

const words = texts.report;
const { columns } = words;

function Row({ row }: { row: EnergyRow }) {
  const { mean, peakDemand, runs, coverage } = row.figures;
  const isSeen = runs !== null && runs.knownMs > 0;
  const bound = (text: string, isKnown: boolean) =>
    row.isUpperBound && isKnown ? words.atMost(text) : text;
  return (
    <tr>
      <th scope="row">{row.label}</th>
      <td class="number">{bound(energyText(row.wattHours), row.wattHours !== null)}</td>
      <td class="number">{bound(powerText(mean), mean !== null)}</td>
      <td class="number">{bound(powerText(peakDemand?.mean ?? null), peakDemand !== null)}</td>
      <td class="number">{peakDemand === null ? DASH : stampText(peakDemand.fromMs)}</td>
      <td class="number">{isSeen ? hoursText(runs.runMs) : DASH}</td>
      <td class="number">{isSeen ? fixed(runs.starts, 0) : DASH}</td>
      <td class="number">
        {isSeen && runs.dutyRatio !== null ? coverageText(runs.dutyRatio) : DASH}
      </td>
      <td class="number">{coverageText(coverage)}</td>
    </tr>
  );
}

function Table({ survey, kind, heading }: SurveyTableProps) {
  const rows = energyRows(survey, kind);
  if (rows.length === 0) return null;
  return (
    <div class="scrolls" tabIndex={0} role="region" aria-label={heading}>
      <table class="figures">
        <caption>{heading}</caption>
        <thead>
          <tr>
            <td />
            {Object.entries(columns).map(([key, text]) => (
              <th scope="col" key={key}>
                {text}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <Row key={row.id} row={row} />
          ))}
        </tbody>
      </table>
    </div>
  );
}

interface SurveyTableProps {
  survey: SurveyAnswer;
  kind: SurveyedPart['part'];
  heading: string;
}

function SourceCurves({ survey }: { survey: SurveyAnswer }) {
  const curves = survey.parts
    .filter(({ part, power }) => part === 'source' && (power.most?.value ?? 0) > 0)
    .map(({ id, label, power }) => {
      const levels = power.loadDuration.map((level) => (level === null ? null : level / 1000));
      return { id, label, spots: durationCurve(levels, survey.durationShares) };
    });
  if (curves.length === 0) return null;
  return (
    <section>
      <h4>{texts.survey.duration}</h4>
      <p class="soft">{texts.survey.durationAbout}</p>
      <div class="durations">
        {curves.map((curve) => (
          <DurationCurve key={curve.id} curve={curve} unit="kW" decimals={2} />
        ))}
      </div>
    </section>
  );
}

export function ReportSurvey({ survey }: { survey: SurveyAnswer }) {
  const state = panel.value;
  const left = state === null ? [] : notMeasured(survey, state);
  return (
    <>
      <Table survey={survey} kind="source" heading={words.sources} />
      <Table survey={survey} kind="circuit" heading={words.circuits} />
      {left.length > 0 && <p>{words.notMeasured(texts.list.and(left))}</p>}
      <Table survey={survey} kind="battery" heading={words.batteries} />
      <ul class="notes">
        {words.notes.map((note) => (
          <li key={note}>{note}</li>
        ))}
        {survey.roughMs > 0 && <li>{words.rough(ageText(survey.roughMs))}</li>}
      </ul>
      <SourceCurves survey={survey} />
    </>
  );
}
