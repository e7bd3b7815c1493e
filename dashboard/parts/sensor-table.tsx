/** Every point with its last value, its freshness and its age; the ones in trouble first. */
import type { PanelState, PointState } from '../../daemon/api/contract.ts';
import { ageText, DASH, intervalText } from '../format.ts';
import { labelOf, labelsOf } from '../models/feeding.ts';
import { freshCount, pointText, troubleFirst } from '../models/sensors.ts';
import { systemsOf } from '../models/trend-plan.ts';
import { texts } from '../texts.ts';

const words = texts.health;
const HEADS = [words.point, words.value, words.freshness, words.age, words.expected];

export interface SensorTableProps {
  points: readonly PointState[];
  /** For the parts' labels; null: the ids have to do. */
  panel: PanelState | null;
}

export function SensorTable({ points, panel }: SensorTableProps) {
  const labels = panel === null ? new Map<string, string>() : labelsOf(panel);
  const systems = systemsOf(panel);
  const quantities: Record<string, string> = texts.quantity;
  return (
    <section aria-labelledby="sensors-heading">
      <h3 id="sensors-heading">{words.sensors}</h3>
      <p>{words.sensorCount(freshCount(points), points.length)}</p>
      <table role="table" class="sensors">
        <caption class="for-ears">{words.sensorsCaption}</caption>
        <thead role="rowgroup">
          <tr role="row">
            {HEADS.map((head) => (
              <th role="columnheader" scope="col" key={head}>
                {head}
              </th>
            ))}
          </tr>
        </thead>
        <tbody role="rowgroup">
          {troubleFirst(points).map((point) => (
            <tr role="row" key={point.id} data-freshness={point.freshness}>
              <th role="rowheader" scope="row" class="sensor-name">
                {labelOf(labels, point.of)},{' '}
                {(quantities[point.quantity] ?? point.quantity).toLowerCase()}
                {point.leg !== null && ` ${point.leg}`}
                <span class="sensor-id">{point.id}</span>
              </th>
              <td role="cell" class="sensor-value number">
                {pointText(point, systems.get(point.of) ?? 'ac')}
              </td>
              <td role="cell" class="sensor-freshness">
                {words.freshnessIs[point.freshness]}
                {point.freshness !== 'fresh' && (
                  <span class="sensor-why">{words.freshnessWhy[point.freshness]}</span>
                )}
              </td>
              <td role="cell" class="sensor-age number">
                {point.ageMs === null ? DASH : ageText(point.ageMs)}
              </td>
              <td role="cell" class="sensor-expected number">
                <span class="narrow-only">{words.every} </span>
                {intervalText(point.expectedEveryMs)}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
