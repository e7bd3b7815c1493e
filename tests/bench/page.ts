/**
 * What the page costs the tablet it is open on: a boat of 60 points and the demo boat at their own
 * pace, Chromium slowed down four times; and whether a day on the page leaves anything behind in memory. `HOURS=24` for
 * the whole day.
 */
import { openWindow } from '../browser/chromium.ts';
import { startBenchBoat, startDemoBoat } from './page-boat.ts';
import type { PageBoat } from './page-boat.ts';
import { HARNESS, liveThrough } from './page-hours.ts';

const SLOWED = 4;
const SETTLE_MS = 10_000;
const MEASURE_MS = 30_000;
const PANELS = 60;
/** Measured everywhere, the bench's boat of so many circuits has 60 points. */
const LARGE_CIRCUITS = 40;
const HOURS = Number(process.env['HOURS'] ?? 2);

const wait = (ms: number) => new Promise((done) => setTimeout(done, ms));

/** Share of a core that the page's own thread took, while the boat spoke once a second. */
async function costOf(address: string, view: string, width: number): Promise<string> {
  const window = await openWindow({ width });
  try {
    await window.page.goto(`${address}/#${view}`);
    await window.page.locator('main section').first().waitFor();
    const session = await window.page.context().newCDPSession(window.page);
    await session.send('Performance.enable');
    const read = async () => {
      const { metrics } = await session.send('Performance.getMetrics');
      return new Map(metrics.map(({ name, value }) => [name, value]));
    };
    const shares = async (rate: number) => {
      await session.send('Emulation.setCPUThrottlingRate', { rate });
      await wait(SETTLE_MS);
      const before = await read();
      await wait(MEASURE_MS);
      const after = await read();
      const grew = (name: string) => (after.get(name) ?? Number.NaN) - (before.get(name) ?? 0);
      return (name: string) => (grew(name) / grew('Timestamp')) * 100;
    };
    const plain = await shares(1);
    const slowed = await shares(SLOWED);
    const thread = plain('ThreadTime');
    return (
      `page, ${view} at ${width} px: processor time of its thread ${thread.toFixed(2)} % of a core, ` +
      `times ${SLOWED} ${(thread * SLOWED).toFixed(1)} %; at ${SLOWED}x slower busy ` +
      `${slowed('TaskDuration').toFixed(1)} % of the time (other work on the machine counts here)`
    );
  } finally {
    await window.close();
  }
}

async function recorded(address: string): Promise<string[]> {
  const panels: string[] = [];
  while (panels.length < PANELS) {
    panels.push(await (await fetch(`${address}/api/v1/panel`)).text());
    await wait(1_000);
  }
  return panels;
}

async function memoryFigures(address: string, panels: readonly string[]): Promise<string[]> {
  const window = await openWindow({ width: 820 });
  try {
    await window.page.addInitScript(HARNESS);
    await window.page.goto(address);
    const { early, late, seconds } = await liveThrough(window, panels, HOURS);
    const mega = (bytes: number) => `${(bytes / 1e6).toFixed(2)} MB`;
    const hours = (seconds / 3600).toFixed(1);
    return [
      `page, ${hours} h: heap ${mega(early.heapBytes)} early, ${mega(late.heapBytes)} late`,
      `page, ${hours} h: ${early.elements} nodes early, ${late.elements} late; ` +
        `${early.listeners} listeners early, ${late.listeners} late`,
    ];
  } finally {
    await window.close();
  }
}

/** What each view costs on one boat. */
async function costs({ address }: PageBoat): Promise<string[]> {
  const answer = await (await fetch(`${address}/api/v1/points`)).json();
  const { points } = answer as { points: unknown[] };
  const lines = [`page: a boat of ${points.length} points`];
  for (const [view, width] of [
    ['now', 360],
    ['now', 1366],
    ['circuits', 1366],
  ] as const) {
    lines.push(await costOf(address, view, width));
  }
  return lines;
}

export async function pageFigures(): Promise<string[]> {
  const large = await startBenchBoat(LARGE_CIRCUITS);
  const lines: string[] = [];
  try {
    lines.push(...(await costs(large)));
  } finally {
    await large.stop();
  }
  const demo = await startDemoBoat();
  try {
    lines.push(...(await costs(demo)));
    lines.push(...(await memoryFigures(demo.address, await recorded(demo.address))));
    return lines;
  } finally {
    await demo.stop();
  }
}
