/**
 * Draws one chart on a canvas. The only file that loads the chart library, and it is loaded only
 * when a chart is shown. Only the parts used are registered; the time axis is a plain linear one
 * with marks of our own, so no date library is needed.
 */
import {
  Chart,
  Filler,
  LinearScale,
  LineController,
  LineElement,
  PointElement,
  Tooltip,
  type ChartConfiguration,
  type ChartDataset,
  type TooltipItem,
} from 'chart.js';
import { backdropPlugin, type Behind } from './chart-backdrop.ts';
import { fixed, instantText, valueShown, withUnit } from './format.ts';
import type { Backdrop } from './models/bands.ts';
import type { Drawing } from './models/drawing.ts';
import { ownOffsetAt } from './models/local-input.ts';
import { timeTicks } from './models/ticks.ts';
import { isAlone, type Spot } from './models/traces.ts';
import { palette } from './screen.ts';
import { texts } from './texts.ts';

Chart.register(Filler, LinearScale, LineController, LineElement, PointElement, Tooltip);

/** Dashes tell the lines apart where colours do not. The page's style sheet has the colours. */
export const DASHES: readonly (readonly number[])[] = [[], [7, 3], [2, 3], [9, 3, 2, 3]];
/** Least, greatest, mean, and the mean a week before. */
const LINES_PER_POINT = 4;
const MEAN = 2;
const BEFORE_DASH = [1, 4];
const PIXELS_PER_TICK = 84;

type Line = ChartDataset<'line', Spot[]>;

function token(canvas: HTMLCanvasElement, name: string): string {
  return getComputedStyle(canvas).getPropertyValue(name).trim();
}

/** Least, greatest, mean: the band is filled between the first two. */
function linesOf(canvas: HTMLCanvasElement, drawing: Drawing): Line[] {
  return drawing.points.flatMap(({ trace, before, label, style }) => {
    const colour = token(canvas, `--trace-${style + 1}`);
    const band = token(canvas, `--trace-${style + 1}-band`);
    const hasAlone = trace.mean.some((_, at) => isAlone(trace.mean, at));
    const edge = { label, borderWidth: 0, pointRadius: 0, pointHitRadius: 0, spanGaps: false };
    const mean: Line = {
      label,
      data: trace.mean,
      borderColor: colour,
      backgroundColor: colour,
      borderWidth: 1.6,
      borderDash: [...(DASHES[style % DASHES.length] ?? [])],
      // A function is asked for each of a thousand spots at every drawing.
      pointRadius: hasAlone ? (spot) => (isAlone(trace.mean, spot.dataIndex) ? 2 : 0) : 0,
      pointHoverRadius: 4,
      spanGaps: false,
    };
    return [
      { ...edge, data: trace.min },
      { ...edge, data: trace.max, fill: '-1', backgroundColor: band },
      mean,
      {
        ...edge,
        data: before?.trace.mean ?? [],
        borderColor: colour,
        borderWidth: 1.4,
        borderDash: BEFORE_DASH,
      },
    ];
  });
}

function tooltipLine(drawing: Drawing, spot: TooltipItem<'line'>): string {
  const point = drawing.points[Math.floor(spot.datasetIndex / LINES_PER_POINT)];
  const { decimals, unit } = drawing.plot;
  const read = (line: readonly Spot[] | undefined) => line?.[spot.dataIndex]?.y ?? Number.NaN;
  const mean = withUnit(read(point?.trace.mean), decimals, unit);
  const [min, max] = [point?.trace.min, point?.trace.max].map((line) =>
    fixed(valueShown(read(line), unit), decimals),
  );
  return `${point?.label ?? ''}: ${texts.history.cell(mean, min ?? '', max ?? '')}`;
}

function configOf(canvas: HTMLCanvasElement, drawing: Drawing): ChartConfiguration<'line', Spot[]> {
  const ink = token(canvas, '--ink-soft');
  const grid = token(canvas, '--rule-soft');
  const { plot, span } = drawing;
  let marks: ReadonlyMap<number, string> = new Map();
  const isLoad = plot.unit === 'A' || plot.unit === 'W';
  return {
    type: 'line',
    data: { datasets: linesOf(canvas, drawing) },
    options: {
      animation: false,
      parsing: false,
      normalized: true,
      responsive: true,
      maintainAspectRatio: false,
      interaction: { mode: 'index', intersect: false, axis: 'x' },
      scales: {
        x: {
          type: 'linear',
          min: span.fromMs,
          max: span.toMs,
          grid: { color: grid },
          ticks: {
            color: ink,
            maxRotation: 0,
            autoSkip: false,
            callback: (value) => marks.get(Number(value)) ?? '',
          },
          afterBuildTicks: (axis) => {
            const most = Math.max(2, Math.floor(axis.width / PIXELS_PER_TICK));
            const offset = ownOffsetAt(axis.min);
            const ticks = timeTicks(axis.min, axis.max, most, offset);
            marks = new Map(ticks.map(({ atMs, text }) => [atMs, text]));
            axis.ticks = ticks.map(({ atMs }) => ({ value: atMs }));
          },
        },
        y: {
          type: 'linear',
          beginAtZero: isLoad,
          grace: isLoad ? 0 : '10%',
          grid: { color: grid },
          title: { display: false },
          ticks: {
            color: ink,
            maxTicksLimit: 6,
            callback: (value) => withUnit(Number(value), plot.decimals, plot.unit),
          },
        },
      },
      plugins: {
        tooltip: {
          animation: false,
          displayColors: false,
          filter: (spot) => spot.datasetIndex % LINES_PER_POINT === MEAN,
          callbacks: {
            title: (spots) => instantText(spots[0]?.parsed.x ?? span.fromMs, span),
            label: (spot) => tooltipLine(drawing, spot),
          },
        },
      },
    },
  };
}

export interface DrawnChart {
  update(drawing: Drawing, backdrop: Backdrop): void;
  /** Where the plot itself begins and ends across the canvas, in CSS pixels. */
  edges(): { left: number; right: number };
  stop(): void;
}

/** Draws on the canvas and redraws on `update`, and when the palette changes, until stopped. */
export function drawChart(
  canvas: HTMLCanvasElement,
  first: Drawing,
  firstBackdrop: Backdrop,
): DrawnChart {
  let drawing = first;
  const behind: Behind = { backdrop: firstBackdrop, token: (name) => token(canvas, name) };
  Chart.defaults.font.family = getComputedStyle(canvas).fontFamily;
  const config = configOf(canvas, drawing);
  const chart = new Chart(canvas, { ...config, plugins: [backdropPlugin(behind)] });
  const redraw = () => {
    const { data, options } = configOf(canvas, drawing);
    chart.data = data;
    if (options !== undefined) chart.options = options;
    chart.update('none');
  };
  const stopFollowing = palette.subscribe(redraw);
  return {
    update: (next, backdrop) => {
      drawing = next;
      behind.backdrop = backdrop;
      redraw();
    },
    edges: () => ({ left: chart.chartArea.left, right: chart.chartArea.right }),
    stop: () => {
      stopFollowing();
      chart.destroy();
    },
  };
}
