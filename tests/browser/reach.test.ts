/** Narrow screens, large text, and every view by keyboard alone. */
import { afterEach, beforeEach, expect, test } from 'vitest';
import { openWindow, type Window } from './chromium.ts';
import { overloadWarning } from './scripted-alerts.ts';
import { startScriptedBoat, type ScriptedBoat } from './scripted-boat.ts';

let boat: ScriptedBoat;
let window: Window;

beforeEach(async () => {
  boat = await startScriptedBoat();
  boat.open.set(overloadWarning().id, overloadWarning());
});

afterEach(async () => {
  await window.close();
  await boat.stop();
});

/** Texts that are wider than the box that cuts them off; what only scrolls is not cut off. */
const CUT_OFF = `[...document.querySelectorAll('body *')].filter((one) => {
  const { overflowX, textOverflow } = getComputedStyle(one);
  const isCut = overflowX === 'hidden' || overflowX === 'clip' || textOverflow === 'ellipsis';
  return isCut && !one.matches('.for-ears, .for-ears *, thead, svg, svg *') && one.scrollWidth > one.clientWidth + 1;
}).map((one) => one.outerHTML.slice(0, 90))`;

/** What reaches beyond the window's edge and stands in no frame that scrolls by itself. */
const BEYOND = `[...document.querySelectorAll('body *')].filter((one) => {
  if (one.matches('.skip') || one.closest('.scrolls, .sld-frame') !== null) return false;
  return one.getBoundingClientRect().right > document.documentElement.clientWidth + 1;
}).slice(0, 8).map((one) => one.outerHTML.slice(0, 90))`;

/** What stands on a view once its answers have come. */
const LANDMARKS = {
  now: '.sld-frame svg',
  circuits: '.schedule tbody tr',
  history: '.energy li',
  alerts: '.alert',
  report: '.paper .happened',
  guest: 'main section',
  health: 'main section table',
} as const;
type View = keyof typeof LANDMARKS;
const EVERY_VIEW = Object.keys(LANDMARKS) as View[];

// WCAG 2.2, 1.4.10 (320 CSS pixels wide) and 1.4.4 (text of twice the size).
test.each([
  [320, '100%', EVERY_VIEW],
  [360, '200%', EVERY_VIEW],
  [820, '200%', EVERY_VIEW],
])('at %i px with text of %s nothing is lost in %j', async (width, size, views) => {
  window = await openWindow({ width, height: 740, motion: 'reduce' });
  const lost: unknown[] = [];
  for (const view of views) {
    await window.page.goto(`${boat.url}#${view}`);
    await window.page.evaluate(`document.documentElement.style.fontSize = '${size}'`);
    await window.page.locator(LANDMARKS[view]).first().waitFor();
    const wide = await window.page.evaluate<number>('document.documentElement.scrollWidth');
    const cut = await window.page.evaluate<string[]>(CUT_OFF);
    const beyond = wide > width ? await window.page.evaluate<string[]>(BEYOND) : [];
    lost.push(...(wide > width || cut.length > 0 ? [{ view, wide, cut, beyond }] : []));
  }
  expect(lost).toEqual([]);
});

const focused = () =>
  window.page.evaluate<string>(
    `(document.activeElement.getAttribute('aria-label') ?? document.activeElement.textContent).trim()`,
  );

/** Presses Tab until what has the focus begins with this. */
async function tabTo(name: string): Promise<void> {
  for (let presses = 0; presses < 150; presses += 1) {
    await window.page.keyboard.press('Tab');
    if ((await focused()).startsWith(name)) return;
  }
  throw new Error(`The keyboard never reached "${name}".`);
}

test.each([
  [360, ['Circuits', 'Alerts', 'History'], ['Report', 'Guest', 'Health']],
  [1366, ['Circuits', 'Alerts', 'History', 'Report', 'Guest', 'Health'], []],
] as const)('every view is reached by keyboard alone, at %i px', async (width, own, more) => {
  window = await openWindow({ width, height: 740, motion: 'reduce' });
  await window.page.goto(boat.url);
  await window.page.locator('.bus').first().waitFor();
  await window.page.keyboard.press('Tab');
  expect(await focused()).toBe('Skip to the content');
  await window.page.keyboard.press('Enter');
  expect(await window.page.evaluate('document.activeElement.tagName')).toBe('MAIN');

  for (const view of [...own, ...more]) {
    if ((more as readonly string[]).includes(view)) {
      await tabTo('More');
      await window.page.keyboard.press('Enter');
    }
    await tabTo(view);
    await window.page.keyboard.press('Enter');
    await expect
      .poll(() => window.page.evaluate('location.hash'), { timeout: 5_000 })
      .toMatch(new RegExp(`^#${view.toLowerCase()}`));
    await window.page.locator('main section').first().waitFor();
    // Where a page load would leave it: at the top of what is new.
    await expect
      .poll(() => window.page.evaluate('document.activeElement.tagName'), { timeout: 5_000 })
      .toBe('MAIN');
  }
});

test('the views behind the button fold away again with Escape, and the focus stays', async () => {
  window = await openWindow({ width: 360, height: 740, motion: 'reduce' });
  await window.page.goto(boat.url);
  const button = window.page.getByRole('button', { name: 'More' });
  await button.press('Enter');
  await window.page.getByRole('link', { name: 'Guest' }).focus();
  await window.page.keyboard.press('Escape');
  expect(await focused()).toBe('More');
  expect(await button.getAttribute('aria-expanded')).toBe('false');
});
