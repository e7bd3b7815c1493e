/**
 * Every scenario in which something goes wrong, seen on the page: the simulated boat, the real
 * broker, the real daemon and a real browser, the boat's time running as fast as it can.
 */
import { afterAll, beforeAll, expect, onTestFinished, test } from 'vitest';
import { SCENARIOS } from '../../simulator/scenarios/index.ts';
import { Stage } from '../scenarios/stage.ts';
import { openWindow, type Window } from './chromium.ts';

/** What the page has to say, by scenario. */
const TOLD = new Map<string, { priority: string; title: string }>([
  ['shore-lost-at-night', { priority: 'Alarm', title: 'Shore power lost: Bow inlet' }],
  ['air-conditioner-without-pump', { priority: 'Alarm', title: 'runs without Cooling water pump' }],
  [
    'generator-with-nothing-connected',
    { priority: 'Warning', title: 'Large generator runs with nothing connected' },
  ],
  ['overload-at-breakfast', { priority: 'Warning', title: 'Small generator is overloaded' }],
  ['sensor-silent', { priority: 'Caution', title: 'panel/house is silent' }],
  ['one-leg-lost', { priority: 'Alarm', title: 'One leg of shore power lost' }],
  ['shore-lost-canal', { priority: 'Alarm', title: 'Shore power lost: Shore inlet' }],
]);
/** In these nothing goes wrong, or not by itself. */
const QUIET = new Set(['demo', 'quiet-day', 'quiet-day-canal']);
const STEP_MS = 1_000;

let window: Window;

beforeAll(async () => {
  window = await openWindow({ width: 820 });
});

afterAll(() => window.close());

test('every scenario is either quiet or looked for here', () => {
  const loud = SCENARIOS.map(({ name }) => name).filter((name) => !QUIET.has(name));
  expect([...TOLD.keys()].sort()).toEqual(loud.sort());
});

test.each([...TOLD])('%s is told on the page', async (name, { priority, title }) => {
  const stage = await Stage.open(name, 1);
  onTestFinished(() => stage.close());
  window.errors.length = 0;
  await window.page.goto(stage.daemon.address);
  await window.page.getByText('No open alerts.').waitFor();

  let atMs = 0;
  while (stage.told.length === 0 && atMs < stage.minutes * 60_000) {
    atMs += STEP_MS;
    await stage.moveTo(atMs);
  }
  const card = window.page.locator('article.alert', { hasText: title });
  await card.waitFor();
  expect(await card.locator('.alert-priority').innerText()).toBe(priority);
  expect(await card.getAttribute('data-phase')).toBe('unacknowledged');
  // What it means, what to do and its cautions stand there without a click, except for a caution.
  if (priority !== 'Caution') {
    await card.getByRole('heading', { name: 'What to do', exact: true }).waitFor();
  }
  expect(await window.page.locator('article.alert').count()).toBe(1);
  expect(await window.page.title()).toMatch(/^\(1\) /);
  // Time runs far faster than a page can read: it may be cut off, and comes back by itself.
  expect(window.errors.filter((error) => !error.includes('ERR_INCOMPLETE_CHUNKED'))).toEqual([]);
  // Or the page would miss the boat of this test during the next.
  await window.page.goto('about:blank');
});
