/**
 * Hours on the page in minutes: inside the page time is driven by hand, and the live stream says
 * every second what a real boat said in the last minute, over and over. The page does all that it
 * would do, view after view; then the memory early and late is compared, each after a collection.
 */
import type { Window } from '../browser/chromium.ts';

/** Puts time and the stream of a page into the bench's hands; must be there before the page is. */
export const HARNESS = `(() => {
  let now = 0, last = 0;
  const timers = new Map();
  const start = Date.now();
  const realTimeout = window.setTimeout.bind(window);
  performance.now = () => now;
  Date.now = () => start + now;
  const add = (timer) => (timers.set(++last, timer), last);
  window.setTimeout = (act, ms = 0) => add({ atMs: now + ms, act });
  window.setInterval = (act, ms) => add({ atMs: now + ms, everyMs: ms, act });
  window.clearTimeout = window.clearInterval = (id) => void timers.delete(id);
  window.requestAnimationFrame = (act) => window.setTimeout(() => act(now), 16);
  window.cancelAnimationFrame = window.clearTimeout;
  window.EventSource = class extends EventTarget {
    static CLOSED = 2;
    readyState = 1;
    constructor() { super(); window.benchStream = this; }
    close() {}
  };
  const advance = async (ms) => {
    const until = now + ms;
    for (;;) {
      let due = null;
      for (const [id, timer] of timers) {
        if (timer.atMs <= until && (due === null || timer.atMs < due.timer.atMs)) due = { id, timer };
      }
      if (due === null) break;
      now = Math.max(now, due.timer.atMs);
      if (due.timer.everyMs === undefined) timers.delete(due.id);
      else due.timer.atMs += due.timer.everyMs;
      due.timer.act();
      await null;
    }
    now = until;
  };
  window.benchLive = async (panels, firstAtMs, seconds, views) => {
    const say = (name, data) => window.benchStream.dispatchEvent(new MessageEvent(name, { data }));
    for (let second = 0; second < seconds; second += 1) {
      if (second % 300 === 0) {
        location.hash = views[(second / 300) % views.length];
        say('alerts', '{"alerts":[]}');
      }
      const panel = panels[second % panels.length];
      say('panel', panel.replace(/"atMs":\\d+/, '"atMs":' + (firstAtMs + second * 1000)));
      await advance(1000);
      // The browser has to have its turn: answers, layout, painting.
      if (second % 60 === 0) await new Promise((done) => realTimeout(done, 0));
    }
    location.hash = views[0];
    await new Promise((done) => realTimeout(done, 200));
    await advance(1000);
  };
})()`;

export interface Memory {
  heapBytes: number;
  elements: number;
  listeners: number;
}

/** What the page holds once everything that can go is gone. */
async function memoryOf(window: Window): Promise<Memory> {
  await window.page.locator('.bus').first().waitFor();
  const session = await window.page.context().newCDPSession(window.page);
  await session.send('Performance.enable');
  for (let times = 0; times < 3; times += 1) await session.send('HeapProfiler.collectGarbage');
  const { metrics } = await session.send('Performance.getMetrics');
  await session.detach();
  const read = (name: string) => metrics.find((own) => own.name === name)?.value ?? Number.NaN;
  return {
    heapBytes: read('JSHeapUsedSize'),
    elements: read('Nodes'),
    listeners: read('JSEventListeners'),
  };
}

const VIEWS = ['now', 'circuits', 'alerts', 'guest', 'health'];
/** Every view was open once and stands again as it stood. */
const ROUND_SECONDS = VIEWS.length * 300;

/** Runs so many hours; `window` has the harness and stands on the page. */
export async function liveThrough(
  window: Window,
  panels: readonly string[],
  hours: number,
): Promise<{ early: Memory; late: Memory; seconds: number }> {
  const firstAtMs = Number(/"atMs":(\d+)/.exec(panels[0] ?? '')?.[1]);
  const rounds = Math.max(2, Math.round((hours * 3_600) / ROUND_SECONDS));
  const live = async (from: number, count: number) => {
    await window.page.evaluate(
      `benchLive(${JSON.stringify(panels)}, ${firstAtMs + from * 1000}, ${count}, ${JSON.stringify(VIEWS)})`,
    );
  };
  await live(0, ROUND_SECONDS);
  const early = await memoryOf(window);
  for (let round = 1; round < rounds; round += 1) await live(round * ROUND_SECONDS, ROUND_SECONDS);
  return { early, late: await memoryOf(window), seconds: rounds * ROUND_SECONDS };
}
