/** The chart in words: a key with the figures of each line, and all of it as a table. */
import { useState } from 'preact/hooks';
import {
  clockText,
  fixed,
  secondsText,
  stampText,
  unitShown,
  valueShown,
  withUnit,
} from '../format.ts';
import type { DrawnPoint, Drawing } from '../models/drawing.ts';
import { ownOffsetAt } from '../models/local-input.ts';
import { timeTicks } from '../models/ticks.ts';
import { rowsFrom, statsOf, type Cell, type Gap } from '../models/traces.ts';
import { texts } from '../texts.ts';

const words = texts.history;

export interface ChartWordsProps {
  drawing: Drawing;
  nowMs: number;
  /** Takes a line out of the chart; absent: the chart is as it is. */
  drop?: (pointId: string) => void;
}

const MOST_ROWS = 48;
const MOST_GAPS = 4;
const SECONDS_MATTER_BELOW_MS = 30 * 60_000;
const YEAR_MATTERS_FROM_MS = 200 * 24 * 3_600_000;

function instantText(atMs: number, nowMs: number, span: Gap): string {
  const spanMs = span.toMs - span.fromMs;
  if (spanMs <= SECONDS_MATTER_BELOW_MS) return secondsText(atMs);
  return spanMs > YEAR_MATTERS_FROM_MS ? stampText(atMs) : clockText(atMs, nowMs);
}

function gapsText(gaps: readonly Gap[], nowMs: number, span: Gap): string {
  const said = gaps
    .slice(0, MOST_GAPS)
    .map(({ fromMs, toMs }) =>
      words.gap(instantText(fromMs, nowMs, span), instantText(toMs, nowMs, span)),
    );
  if (gaps.length > MOST_GAPS) said.push(words.moreGaps(gaps.length - MOST_GAPS));
  return words.gapsOf(said.join(', '));
}

function KeyLine({ style }: { style: number }) {
  return (
    <svg class="key-line" data-style={style + 1} viewBox="0 0 40 10" aria-hidden="true">
      <path d="M0 5H40" />
    </svg>
  );
}

function PointWords({ point, drawing, nowMs, drop }: ChartWordsProps & { point: DrawnPoint }) {
  const { plot, span } = drawing;
  const stats = statsOf(point.series.buckets);
  const show = (value: number) => withUnit(value * plot.scale, plot.decimals, plot.unit);
  const { gaps } = point.trace;
  const old = point.before === null ? null : statsOf(point.before.series.buckets);
  return (
    <li>
      <KeyLine style={point.style} />
      <div>
        <strong>{point.label}</strong>
        <span class="number">
          {stats === null
            ? words.noReadings
            : words.stats(show(stats.min), show(stats.mean), show(stats.max))}
        </span>
        {point.before !== null && (
          <span class="number soft">
            {old === null ? words.noneBefore : words.statsBefore(show(old.mean), show(old.max))}
          </span>
        )}
        {stats !== null && gaps.length > 0 && (
          <span class="soft">{gapsText(gaps, nowMs, span)}</span>
        )}
      </div>
      {drop !== undefined && (
        <button type="button" class="drop" onClick={() => drop(point.id)}>
          <span aria-hidden="true">×</span>
          <span class="for-ears">{words.drop(point.label)}</span>
        </button>
      )}
    </li>
  );
}

function cellText(cell: Cell | null, { plot }: Drawing): string {
  if (cell === null) return words.noCell;
  const [mean, min, max] = [cell.mean, cell.min, cell.max].map((value) =>
    fixed(valueShown(value * plot.scale, plot.unit), plot.decimals),
  );
  const text = words.cell(mean ?? '', min ?? '', max ?? '');
  return cell.isPartial ? `${text}, ${words.partCell}` : text;
}

function ChartTable({ drawing, nowMs }: { drawing: Drawing; nowMs: number }) {
  const { points, span } = drawing;
  const series = points.map(({ series: { buckets }, trace: { gaps } }) => ({ buckets, gaps }));
  const offset = ownOffsetAt(span.fromMs);
  const edges = timeTicks(span.fromMs, span.toMs, MOST_ROWS, offset).map(({ atMs }) => atMs);
  const rows = rowsFrom(series, span, edges);
  const caption = words.tableCaption(
    instantText(span.fromMs, nowMs, span),
    instantText(span.toMs, nowMs, span),
  );
  return (
    <div class="scrolls" tabIndex={0} role="region" aria-label={words.table}>
      <table class="plain">
        <caption>{caption}</caption>
        <thead>
          <tr>
            <th scope="col">{words.time}</th>
            {points.map(({ id, label }) => (
              <th scope="col" key={id}>
                {label}, {unitShown(drawing.plot.unit)}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <tr key={row.fromMs}>
              <th scope="row">{instantText(row.fromMs, nowMs, span)}</th>
              {row.cells.map((cell, index) => (
                <td class="number" key={points[index]?.id} data-gap={cell === null}>
                  {cellText(cell, drawing)}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

export function ChartWords(props: ChartWordsProps) {
  const { drawing, nowMs } = props;
  const [isOpen, setOpen] = useState(false);
  return (
    <>
      <ul class="key">
        {drawing.points.map((point) => (
          <PointWords key={point.id} point={point} {...props} />
        ))}
      </ul>
      <details onToggle={(event) => setOpen(event.currentTarget.open)}>
        <summary>{words.table}</summary>
        {isOpen && <ChartTable drawing={drawing} nowMs={nowMs} />}
      </details>
    </>
  );
}
