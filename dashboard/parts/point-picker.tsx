/** Which points to draw, grouped by the part they measure. */
import type { PointDescription } from '../../daemon/api/contract.ts';
import { labelOf } from '../models/feeding.ts';
import { byPart, isDrawable } from '../models/traces.ts';
import { MOST_POINTS } from '../route.ts';
import { texts } from '../texts.ts';

const words = texts.history;

export interface PointPickerProps {
  points: readonly PointDescription[];
  chosen: readonly string[];
  labels: ReadonlyMap<string, string>;
  choose: (points: string[]) => void;
}

function shortLabel({ quantity, leg }: PointDescription): string {
  return leg === null ? texts.quantity[quantity] : `${texts.quantity[quantity]} ${leg}`;
}

export function PointPicker({ points, chosen, labels, choose }: PointPickerProps) {
  const groups = [...byPart(points.filter((point) => isDrawable(point)))];
  const isFull = chosen.length >= MOST_POINTS;
  const change = (id: string, isChosen: boolean) =>
    choose(isChosen ? [...chosen, id] : chosen.filter((other) => other !== id));
  if (groups.length === 0) return <p>{words.noPoints}</p>;
  return (
    <details class="picker">
      <summary>
        {words.choose} <span class="soft">({words.chosen(chosen.length, MOST_POINTS)})</span>
      </summary>
      {isFull && <p role="status">{words.full(MOST_POINTS)}</p>}
      <div class="picker-groups">
        {groups.map(([part, members]) => (
          <fieldset key={part}>
            <legend>{labelOf(labels, part)}</legend>
            {members.map((point) => (
              <label key={point.id}>
                <input
                  type="checkbox"
                  checked={chosen.includes(point.id)}
                  disabled={isFull && !chosen.includes(point.id)}
                  onChange={(event) => change(point.id, event.currentTarget.checked)}
                />
                {shortLabel(point)}
              </label>
            ))}
          </fieldset>
        ))}
      </div>
    </details>
  );
}
