/**
 * Every view in all palettes, on a phone and on a laptop, against WCAG 2.2 A and AA as axe-core
 * checks them; and what axe does not see: touch targets, sideways scrolling, the keyboard.
 */
import axe from 'axe-core';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { PALETTES, type Palette } from '../../dashboard/models/preferences.ts';
import { openWindow, type Window } from './chromium.ts';
import { missingPumpAlarm, overloadWarning, silentSensorCaution } from './scripted-alerts.ts';
import { startScriptedBoat, type ScriptedBoat } from './scripted-boat.ts';
import { EVENING_MS, scriptedPanel } from './scripted-panel.ts';

const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];
const VIEWS = [
  'now',
  'circuits',
  'alerts',
  'history?points=bow-l1-amps,bow-l1-volts&span=1h',
  'report',
  'guest',
  'health',
];
let boat: ScriptedBoat;
let window: Window;

beforeEach(async () => {
  boat = await startScriptedBoat();
  boat.about = { ...boat.about, isDemo: true, scenario: 'overload at breakfast', speed: 4 };
  boat.hole = { fromMs: EVENING_MS - 1_500_000, toMs: EVENING_MS - 900_000 };
  boat.panel = (atMs) =>
    scriptedPanel(atMs, {
      contradictions: [
        {
          parts: ['house-bus'],
          because: ['House bus has voltage, which nothing would feed then.'],
          culprit: null,
        },
      ],
    });
  const emergency = overloadWarning({
    id: 'e',
    priority: 'emergency alarm',
    title: 'Pins may be live',
  });
  for (const alert of [overloadWarning(), missingPumpAlarm(), silentSensorCaution(), emergency]) {
    boat.open.set(alert.id, alert);
  }
});

afterEach(async () => {
  await window.close();
  await boat.stop();
});

/** As high as the page is long: what stands behind the foot must be judged as well. */
async function violations(): Promise<string[]> {
  const height = await window.page.evaluate<number>('document.documentElement.scrollHeight');
  const width = window.page.viewportSize()?.width ?? 0;
  await window.page.setViewportSize({ width, height });
  await window.page.evaluate(axe.source);
  const { violations: found } = await window.page.evaluate<axe.AxeResults>(
    `axe.run(document, { runOnly: ${JSON.stringify(TAGS)} })`,
  );
  return found.flatMap(({ id, nodes }) => nodes.map(({ html }) => `${id}: ${html}`));
}

/** Opens everything that is folded away, so that it is looked at too. */
async function show(view: string): Promise<void> {
  await window.page.goto(`${boat.url}#${view}`);
  await window.page.locator('main section').first().waitFor();
  if (view.startsWith('history')) await window.page.locator('canvas').first().waitFor();
  if (view === 'alerts') await window.page.locator('.past-alert').first().waitFor();
  if (view === 'report') await window.page.locator('.figures').first().waitFor();
  if (view === 'health') await window.page.locator('.sensors').waitFor();
  await window.page.evaluate(
    `document.querySelectorAll('details').forEach((one) => { one.open = true; })`,
  );
  if (view.startsWith('history')) {
    await window.page.getByRole('button', { name: 'From and to' }).click();
    await window.page.locator('.chart tbody').first().waitFor();
  }
}

/** As the page itself does it when a palette is chosen; `every palette can be chosen` does it by hand. */
async function wear(palette: Palette): Promise<void> {
  await window.page.evaluate(`document.documentElement.dataset.palette = '${palette}'`);
}

test.each([360, 1366])(
  'every view in every palette obeys WCAG 2.2 A and AA, at %i px',
  async (width) => {
    window = await openWindow({ width, height: 740, motion: 'reduce' });
    for (const view of VIEWS) {
      await show(view);
      for (const palette of PALETTES) {
        await wear(palette);
        const found = { view, palette, violations: await violations() };
        expect(found).toEqual({ view, palette, violations: [] });
      }
    }
    expect(window.errors).toEqual([]);
  },
);

test('so do the dialogs and a page that hears nothing', async () => {
  window = await openWindow({ width: 360, height: 740, motion: 'reduce' });
  const inEveryPalette = async (what: string) => {
    for (const palette of PALETTES) {
      await wear(palette);
      const found = { what, palette, violations: await violations() };
      expect(found).toEqual({ what, palette, violations: [] });
    }
  };
  const closed = () =>
    expect.poll(() => window.page.getByRole('dialog').count(), { timeout: 15_000 }).toBe(0);
  await window.page.clock.install();
  await show('now');
  const acknowledge = window.page.getByRole('button', { name: /^Acknowledge/ }).first();
  for (const opener of [acknowledge, window.page.getByRole('button', { name: 'Display' })]) {
    await opener.click();
    await window.page.getByRole('dialog').waitFor();
    await inEveryPalette('dialog');
    await window.page.keyboard.press('Escape');
    await closed();
  }
  boat.isMute = true;
  await window.page.clock.fastForward(12_000);
  await window.page.getByText('What you see is old.').waitFor();
  await inEveryPalette('nothing heard');
});

describe('on a phone', () => {
  beforeEach(async () => {
    window = await openWindow({ width: 360, height: 740, motion: 'reduce' });
  });

  test('nothing scrolls sideways', async () => {
    for (const view of VIEWS) {
      await show(view);
      const width = await window.page.evaluate<number>('document.documentElement.scrollWidth');
      expect({ view, width }).toEqual({ view, width: 360 });
    }
  });

  test('everything that is touched is at least 44 pixels high and wide', async () => {
    const small = `[...document.querySelectorAll(
        'button, a, summary, input:not([type=checkbox]), label:has(input[type=checkbox])',
      )].filter((one) => one.checkVisibility() && !one.matches('.skip'))
        .map((one) => ({ box: one.getBoundingClientRect(), what: one.outerHTML.slice(0, 90) }))
        .filter(({ box }) => box.height < 43.9 || box.width < 43.9)
        .map(({ box, what }) => what + ' ' + box.width + 'x' + box.height)`;
    for (const view of VIEWS) {
      await show(view);
      expect({ view, small: await window.page.evaluate(small) }).toEqual({ view, small: [] });
    }
  });

  test('the safety line is in sight without scrolling, on every view', async () => {
    for (const view of VIEWS) {
      await show(view);
      await window.page.evaluate('scrollTo(0, 0)');
      const box = await window.page.locator('.safety').boundingBox();
      expect(box).not.toBeNull();
      expect((box?.y ?? 1e9) + (box?.height ?? 0)).toBeLessThanOrEqual(740);
    }
  });
});

/** The element that has the focus: its name, its outline, and how far it reaches under the foot. */
const FOCUS = `(() => {
  const at = document.activeElement;
  if (at === document.body) return null;
  const { outlineStyle, outlineWidth } = getComputedStyle(at);
  const isInFoot = at.closest('footer') !== null;
  const foot = document.querySelector('footer').getBoundingClientRect().top;
  return {
    name: (at.getAttribute('aria-label') ?? at.textContent).trim(),
    isOutlined: outlineStyle !== 'none' && outlineWidth !== '0px',
    hiddenPixels: isInFoot ? 0 : Math.max(0, at.getBoundingClientRect().bottom - foot),
  };
})()`;

interface Stop {
  name: string;
  isOutlined: boolean;
  hiddenPixels: number;
}

test.each([360, 1366])('the keyboard reaches everything in sight, at %i px', async (width) => {
  window = await openWindow({ width, height: 740, motion: 'reduce' });
  await window.page.goto(boat.url);
  await window.page.locator('.bus').first().waitFor();
  const stops: Stop[] = [];
  for (let press = 0; press < 80; press += 1) {
    await window.page.keyboard.press('Tab');
    const stop = await window.page.evaluate<Stop | null>(FOCUS);
    if (stop === null) break;
    stops.push(stop);
  }
  expect(stops.filter(({ isOutlined }) => !isOutlined)).toEqual([]);
  expect(stops.filter(({ hiddenPixels }) => hiddenPixels > 0)).toEqual([]);
  const names = stops.map(({ name }) => name);
  const last = width < 672 ? 'More' : 'Health';
  expect(names[0]).toBe('Skip to the content');
  for (const start of [
    'Acknowledge: Bow inlet',
    'Why',
    'Now',
    'Circuits',
    'Alerts',
    'History',
    last,
  ]) {
    expect({ start, isReached: names.some((name) => name.startsWith(start)) }).toEqual({
      start,
      isReached: true,
    });
  }
});
