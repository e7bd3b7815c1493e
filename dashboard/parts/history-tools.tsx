/** Moving through time, comparing, and taking the readings away as a file. */
import { visitor } from '../access.ts';
import { exportAddress } from '../api.ts';
import { focusHeading, SURVEY_HEADING } from '../focus.ts';
import { neighbour } from '../models/calendar.ts';
import { ownOffsetAt } from '../models/local-input.ts';
import { untilNow, zoomed, type Stretch } from '../models/stretch.ts';
import { periodText } from '../period-text.ts';
import { maySay } from '../models/roles.ts';
import { texts } from '../texts.ts';

const words = texts.history;
const FORMATS = ['csv', 'jsonl'] as const;

export interface HistoryToolsProps {
  points: readonly string[];
  span: Stretch;
  nowMs: number | null;
  isCompared: boolean;
  move: (span: Stretch) => void;
  compare: (isCompared: boolean) => void;
}

export function HistoryTools({
  points,
  span,
  nowMs,
  isCompared,
  move,
  compare,
}: HistoryToolsProps) {
  const isLatest = nowMs !== null && span.toMs >= nowMs;
  const steps: [string, () => Stretch, boolean][] = [
    [words.earlier, () => neighbour(span, -1, ownOffsetAt), false],
    [words.later, () => neighbour(span, 1, ownOffsetAt), isLatest],
    [words.zoomIn, () => zoomed(span, 0.5), false],
    [
      words.zoomOut,
      () => (nowMs === null ? zoomed(span, 2) : untilNow(zoomed(span, 2), nowMs)),
      false,
    ],
  ];
  return (
    <div class="history-tools">
      <p class="shown-time">
        <strong>{periodText(span)}</strong>
      </p>
      <div class="span-buttons">
        {steps.map(([label, step, isOff]) => (
          <button type="button" key={label} disabled={isOff} onClick={() => move(step())}>
            {label}
          </button>
        ))}
      </div>
      <button type="button" class="quiet" onClick={() => focusHeading(SURVEY_HEADING)}>
        {words.toSurvey}
      </button>
      {points.length > 0 && (
        <label class="compare">
          <input
            type="checkbox"
            checked={isCompared}
            onChange={(event) => compare(event.currentTarget.checked)}
          />
          {words.compare}
        </label>
      )}
    </div>
  );
}

/** The readings of the points and time shown, as files. */
export function Exports({ points, span }: Pick<HistoryToolsProps, 'points' | 'span'>) {
  if (!maySay(visitor.value)) return <p class="soft">{texts.access.crewExports}</p>;
  return (
    <p class="exports">
      <span>{words.export}</span>
      {FORMATS.map((format) => (
        <a key={format} class="button" download href={exportAddress(points, span, format)}>
          {words.exportsFor(words.exports[format], points.length)}
        </a>
      ))}
    </p>
  );
}
