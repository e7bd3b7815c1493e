/** Energy by circuit or source, most first, with how much of the time was known. */
import { ageText, coverageText, DASH, energyText } from '../format.ts';
import type { EnergyRow } from '../models/survey-figures.ts';
import { texts } from '../texts.ts';

const words = texts.survey;

export interface EnergyListProps {
  rows: readonly EnergyRow[];
  label: string;
  /** Where a row leads; null where nothing of it can be drawn. */
  addressOf: (id: string) => string | null;
}

function figuresOf({ wattHours, isUpperBound, figures }: EnergyRow): string[] {
  if (wattHours === null) return [DASH, words.nothingKnown];
  const energy = energyText(wattHours);
  const known = words.known(coverageText(figures.coverage));
  const { runs } = figures;
  return [
    isUpperBound ? words.atMost(energy) : energy,
    ...(runs !== null && runs.knownMs > 0
      ? [words.ran(ageText(runs.runMs)), words.starts(runs.starts)]
      : []),
    known,
  ];
}

export function EnergyList({ rows, label, addressOf }: EnergyListProps) {
  return (
    <ol class="energy" aria-label={label}>
      {rows.map((row) => {
        const address = addressOf(row.id);
        const [first, ...others] = figuresOf(row);
        return (
          <li key={row.id} data-known={row.wattHours !== null}>
            <span class="energy-name">
              {address === null ? row.label : <a href={address}>{row.label}</a>}
            </span>
            <span class="energy-bar" aria-hidden="true">
              <span style={{ '--share': String(row.share) }} />
            </span>
            <strong class="number energy-figure">{first}</strong>
            <span class="soft energy-more">{others.join(', ')}</span>
          </li>
        );
      })}
    </ol>
  );
}
