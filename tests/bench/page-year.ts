/**
 * A year on the charts: a chart of eight points over 365 days, zoomed and moved by keyboard, in a
 * Chromium slowed down four times. A stutter is a task that keeps the page from drawing.
 */
import Database from 'better-sqlite3';
import { join } from 'node:path';
import { HISTORY_MIGRATIONS, migrate } from '../../daemon/store/migrations.ts';
import { openWindow } from '../browser/chromium.ts';
import type { Window } from '../browser/chromium.ts';
import { quantile } from './figures.ts';
import { fillYear } from './history-year.ts';
import { startBenchBoat } from './page-boat.ts';

const POINTS = 8;
const DAYS = 365;
const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
const KEYS = ['+', '+', 'ArrowLeft', '+', 'ArrowLeft', '+', 'ArrowRight', '-', '-', 'ArrowLeft'];
const ROUNDS = 3;

/** Notes every task of 50 ms and more, and the longest wait between two frames. */
const NOTES = `(() => {
  window.benchTasks = [];
  new PerformanceObserver((list) => {
    for (const { duration } of list.getEntries()) window.benchTasks.push(duration);
  }).observe({ entryTypes: ['longtask'] });
})()`;

interface Steps {
  /** Milliseconds from a key to the chart that answers it. */
  settledMs: number[];
  tasksMs: number[];
}

async function steer(window: Window, rate: number): Promise<Steps> {
  const session = await window.page.context().newCDPSession(window.page);
  await session.send('Emulation.setCPUThrottlingRate', { rate });
  const chart = window.page.locator('.chart').first();
  const canvas = window.page.locator('.chart-canvas').first();
  await window.page.evaluate('window.benchTasks.length = 0');
  const settledMs: number[] = [];
  for (let round = 0; round < ROUNDS; round += 1) {
    for (const key of KEYS) {
      await canvas.focus();
      const start = performance.now();
      await window.page.keyboard.press(key);
      await chart
        .and(window.page.locator('[aria-busy=true]'))
        .waitFor({ timeout: 2_000 })
        .catch(() => {});
      await chart.and(window.page.locator('[aria-busy=false]')).waitFor();
      settledMs.push(performance.now() - start);
    }
  }
  const tasksMs = await window.page.evaluate<number[]>('window.benchTasks');
  return { settledMs, tasksMs };
}

function lineOf(rate: number, { settledMs, tasksMs }: Steps): string {
  const ms = (value: number) => `${value.toFixed(0)} ms`;
  const longest = tasksMs.length === 0 ? 'none' : ms(Math.max(...tasksMs));
  return (
    `page, a year of ${POINTS} points, ${settledMs.length} steps at ${rate}x slower: key to chart p50 ` +
    `${ms(quantile(settledMs, 0.5))}, p95 ${ms(quantile(settledMs, 0.95))}; tasks of 50 ms and more ` +
    `${tasksMs.length}, the longest ${longest}`
  );
}

export async function pageYearFigures(): Promise<string[]> {
  const startMs = Math.floor(Date.now() / DAY_MS) * DAY_MS - DAYS * DAY_MS;
  let ids: string[] = [];
  const boat = await startBenchBoat(40, (folder, { points }) => {
    ids = [...points.values()]
      .filter(({ quantity }) => quantity === 'amps')
      .slice(0, POINTS)
      .map(({ id }) => id);
    const db = new Database(join(folder, 'history.db'));
    migrate(db, HISTORY_MIGRATIONS);
    fillYear(db, startMs, DAYS, POINTS, (point) => ids[point] ?? `p${point}`);
    db.close();
  });
  const window = await openWindow({ width: 1366 });
  try {
    await window.page.addInitScript(NOTES);
    await window.page.goto(`${boat.address}/#history?points=${ids.join(',')}&span=365d`);
    await window.page.locator('.chart[aria-busy=false] .key').first().waitFor({ timeout: 60_000 });
    return [lineOf(1, await steer(window, 1)), lineOf(4, await steer(window, 4))];
  } finally {
    await window.close();
    await boat.stop();
  }
}
