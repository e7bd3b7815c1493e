/** A load-duration curve with its numbers as a table. */
import { coverageText, fixed, unitShown, valueShown, withUnit } from '../format.ts';
import { scaleFor, type CurveSpot } from '../models/survey-figures.ts';
import { texts } from '../texts.ts';

const words = texts.survey;
const WIDTH = 360;
const HEIGHT = 180;
const LEFT = 58;
const BOTTOM = 34;
const TOP = 8;
const RIGHT = 10;
const SHARES = [0, 0.25, 0.5, 0.75, 1];

export interface Curve {
  id: string;
  label: string;
  /** Levels in the unit shown. */
  spots: readonly CurveSpot[];
}

export interface DurationCurveProps {
  curve: Curve;
  unit: string;
  decimals: number;
}

const across = (share: number): number => LEFT + share * (WIDTH - LEFT - RIGHT);

export function DurationCurve({ curve, unit, decimals }: DurationCurveProps) {
  const { spots, label } = curve;
  const scale = scaleFor(spots.map(({ level }) => level));
  const up = (level: number): number =>
    TOP + ((scale.most - level) / (scale.most - scale.least)) * (HEIGHT - TOP - BOTTOM);
  const line = spots.map(({ share, level }) => `${across(share)},${up(level)}`).join(' ');
  return (
    <figure class="duration">
      <figcaption>{label}</figcaption>
      <svg
        viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
        role="img"
        aria-label={words.durationCurve(label, unitShown(unit))}
      >
        {scale.marks.map((mark) => (
          <g key={mark}>
            <line class="grid" x1={LEFT} x2={WIDTH - RIGHT} y1={up(mark)} y2={up(mark)} />
            <text x={LEFT - 5} y={up(mark) + 4} text-anchor="end">
              {withUnit(mark, scale.most - scale.least < 5 ? decimals : 0, unit)}
            </text>
          </g>
        ))}
        {SHARES.map((share) => (
          <text
            key={share}
            x={across(share)}
            y={HEIGHT - BOTTOM + 15}
            text-anchor={share === 1 ? 'end' : 'middle'}
          >
            {withUnit(share * 100, 0, '%')}
          </text>
        ))}
        <text x={across(0.5)} y={HEIGHT - 4} text-anchor="middle">
          {words.ofTime}
        </text>
        <polyline class="curve" points={line} />
      </svg>
      <details>
        <summary>{words.durationTable}</summary>
        <table class="plain">
          <thead>
            <tr>
              <th scope="col">{words.exceeded}</th>
              <th scope="col">{unitShown(unit)}</th>
            </tr>
          </thead>
          <tbody>
            {spots.map(({ share, level }) => (
              <tr key={share}>
                <th scope="row">{words.exceededFor(coverageText(share))}</th>
                <td class="number">{fixed(valueShown(level, unit), decimals)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </details>
    </figure>
  );
}
