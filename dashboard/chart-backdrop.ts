/**
 * What is drawn behind the curves: which source fed the boat in shades of grey with its name, and
 * the times of alerts in the colour and with the letter of their priority. Loaded with the chart.
 */
import type { Chart, Plugin } from 'chart.js';
import type { Priority } from '../daemon/api/contract.ts';
import type { AlertBand, Backdrop, NamedBand } from './models/bands.ts';
import { keyOf, shadesOf } from './models/bands.ts';
import { texts } from './texts.ts';

export interface Behind {
  backdrop: Backdrop;
  token: (name: string) => string;
}

const COLOURS: Readonly<Record<Priority, string>> = {
  'emergency alarm': '--danger',
  alarm: '--danger',
  warning: '--attention',
  caution: '--attention',
};
const STRIP_PIXELS = 14;
const LABEL_PIXELS = 11;
/** Narrower bands have no room for a word. */
const WORD_FROM_PIXELS = 44;
const LETTER_FROM_PIXELS = 12;
const SHADES = [0, 0.55, 0.3, 0.75];

/** Across the chart, from an instant to another, cut to the plot. */
function columns(chart: Chart, band: { fromMs: number; toMs: number }): [number, number] {
  const { left, right } = chart.chartArea;
  const x = (atMs: number) =>
    Math.min(right, Math.max(left, chart.scales['x']?.getPixelForValue(atMs) ?? left));
  return [x(band.fromMs), x(band.toMs)];
}

function drawFeed(
  chart: Chart,
  { band, text }: NamedBand,
  shade: number | null,
  behind: Behind,
): void {
  const { ctx, chartArea } = chart;
  const [from, to] = columns(chart, band);
  const height = chartArea.bottom - chartArea.top;
  ctx.globalAlpha = shade ?? 1;
  ctx.fillStyle = behind.token('--sunk');
  if (shade !== null) ctx.fillRect(from, chartArea.top, to - from, height);
  ctx.globalAlpha = 1;
  ctx.fillStyle = behind.token('--rule');
  if (from > chartArea.left) ctx.fillRect(from, chartArea.top, 1, height);
  if (to - from < WORD_FROM_PIXELS) return;
  ctx.save();
  ctx.beginPath();
  ctx.rect(from, chartArea.top, to - from, height);
  ctx.clip();
  ctx.fillStyle = behind.token('--ink-soft');
  ctx.fillText(text, from + 4, chartArea.bottom - 5);
  ctx.restore();
}

function drawAlert(chart: Chart, band: AlertBand, behind: Behind): void {
  const { ctx, chartArea } = chart;
  const [from, to] = columns(chart, band);
  const width = Math.max(2, to - from);
  const colour = behind.token(COLOURS[band.priority]);
  ctx.fillStyle = colour;
  ctx.globalAlpha = 0.12;
  ctx.fillRect(from, chartArea.top, width, chartArea.bottom - chartArea.top);
  ctx.globalAlpha = 1;
  ctx.fillRect(from, chartArea.top, width, STRIP_PIXELS);
  if (width < LETTER_FROM_PIXELS) return;
  ctx.fillStyle = behind.token(`${COLOURS[band.priority]}-ink`);
  ctx.fillText(texts.history.priorityLetter[band.priority], from + 3, chartArea.top + 11);
}

function drawMark(chart: Chart, atMs: number, behind: Behind): void {
  const { ctx, chartArea } = chart;
  const x = chart.scales['x']?.getPixelForValue(atMs) ?? -1;
  if (x < chartArea.left || x > chartArea.right) return;
  ctx.strokeStyle = behind.token('--ink');
  ctx.lineWidth = 1.5;
  ctx.setLineDash([5, 4]);
  ctx.beginPath();
  ctx.moveTo(x, chartArea.top);
  ctx.lineTo(x, chartArea.bottom);
  ctx.stroke();
}

/** Draws `behind.backdrop` as it is at each drawing. */
export function backdropPlugin(behind: Behind): Plugin<'line'> {
  return {
    id: 'backdrop',
    beforeDatasetsDraw: (chart) => {
      const { feeds, alerts, atMs } = behind.backdrop;
      const shades = shadesOf(feeds.map(({ band }) => band));
      chart.ctx.save();
      chart.ctx.font = `${LABEL_PIXELS}px ${getComputedStyle(chart.canvas).fontFamily}`;
      for (const named of feeds) {
        const place = shades.get(keyOf(named.band));
        const shade = place === undefined ? null : (SHADES[place % SHADES.length] ?? 0);
        drawFeed(chart, named, shade, behind);
      }
      for (const band of alerts) drawAlert(chart, band, behind);
      if (atMs !== null) drawMark(chart, atMs, behind);
      chart.ctx.restore();
    },
  };
}
