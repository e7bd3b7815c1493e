/** What a person does about alerts, over a boat that says what the test wants. */
import axe from 'axe-core';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { PALETTES } from '../../dashboard/models/preferences.ts';
import { openWindow, type Window } from './chromium.ts';
import { alertsInEveryState, missingPumpAlarm, overloadWarning } from './scripted-alerts.ts';
import { startScriptedBoat, type ScriptedBoat } from './scripted-boat.ts';

const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];
/** What can be touched in an element and is less than 44 pixels high or wide (the page's own rule). */
const smallIn = (selector: string) =>
  `[...document.querySelectorAll('${selector} :is(button, a, summary, label:has([type=radio]), input:not([type=radio]))')]
    .filter((one) => one.checkVisibility())
    .map((one) => ({ box: one.getBoundingClientRect(), what: one.outerHTML.slice(0, 90) }))
    .filter(({ box }) => box.height < 43.9 || box.width < 43.9)
    .map(({ what }) => what)`;

let boat: ScriptedBoat;
let window: Window;

beforeEach(async () => {
  boat = await startScriptedBoat();
});

afterEach(async () => {
  await window.close();
  await boat.stop();
});

async function look(width: number, view = 'alerts'): Promise<void> {
  window = await openWindow({ width, height: 740 });
  await window.page.goto(`${boat.url}#${view}`);
  await window.page.locator('article.alert').first().waitFor();
}

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

const card = (title: string) => window.page.locator('article.alert', { hasText: title });
const press = (title: string, name: string) =>
  card(title)
    .getByRole('button', { name: `${name}: ` })
    .click();
const dialog = () => window.page.getByRole('dialog');
const fold = (name: string) => window.page.locator('details.put-away', { hasText: name });
const waking = (title: string) => card(title).getAttribute('data-waking');

describe.each([360, 1366])('alerts in every state, at %i px', (width) => {
  test('are told in words, obey WCAG 2.2 A and AA, and can be touched', async () => {
    for (const alert of alertsInEveryState()) boat.open.set(alert.id, alert);
    await look(width);
    await window.page.locator('.past-alert').first().waitFor();
    expect(await violations()).toEqual([]);
    for (const name of ['Shelved (1)', 'Out of service (1)']) {
      await fold(name).locator('summary').first().click();
    }
    const said = (await window.page.locator('section.alerts').innerText()).replaceAll(
      '\u00a0',
      ' ',
    );
    for (const part of [
      'Silenced by Wren until 18:34:00',
      'Part of a flood',
      'Nobody has acknowledged it: told again 2 times.',
      'Comes and goes: 5 times',
      'Waits for an inspection',
      'Shelved until 19:10, by Wren at 18:10: the impeller is being changed',
      'Out of service since 18:10, by Wren: the sensor is ashore for repair (review',
    ]) {
      expect(said).toContain(part);
    }
    for (const palette of PALETTES) {
      await window.page.evaluate(`document.documentElement.dataset.palette = '${palette}'`);
      expect({ palette, found: await violations() }).toEqual({ palette, found: [] });
    }
    expect(await window.page.evaluate(smallIn('section.alerts'))).toEqual([]);
    const wide = await window.page.evaluate<number>('document.documentElement.scrollWidth');
    expect(wide).toBeLessThanOrEqual(width);

    for (const name of ['Shelve: ', 'Take out of service: ', 'I have looked at it: ']) {
      await window.page.getByRole('button', { name }).first().click();
      await dialog().getByLabel('Your name').waitFor();
      expect({ name, found: await violations() }).toEqual({ name, found: [] });
      expect(await window.page.evaluate(smallIn('dialog[open]'))).toEqual([]);
      await window.page.keyboard.press('Escape');
      await expect.poll(() => dialog().count(), { timeout: 15_000 }).toBe(0);
    }
    expect(window.errors).toEqual([]);
  });
});

const PUMP = 'runs without';
const INLET = 'Bow inlet is overloaded';

describe('a person', () => {
  beforeEach(async () => {
    const alarm = missingPumpAlarm({ phase: 'unacknowledged', acknowledgedBy: null });
    for (const alert of [alarm, overloadWarning()]) boat.open.set(alert.id, alert);
    await look(360);
  });

  test('silences under a name asked for once; the sign stands still, and moves again after', async () => {
    expect(await waking(INLET)).toBe('true');
    await press(INLET, 'Silence');
    await dialog().getByRole('heading', { name: 'Who silences it?' }).waitFor();
    await dialog().getByLabel('Your name').fill('Wren');
    await dialog().getByRole('button', { name: 'Silence' }).click();
    await card(INLET).getByText('Silenced by Wren until').waitFor();
    expect(await waking(INLET)).toBe('false');
    expect(await window.styleOf('.alert[data-waking="false"] .mark', 'animation-name')).toBe(
      'none',
    );
    expect(await window.styleOf('.alert[data-waking="true"] .mark', 'animation-name')).toBe('wake');
    // Silenced is not acknowledged.
    await card(INLET).getByText('not acknowledged', { exact: true }).waitFor();
    boat.tell('silence over', overloadWarning());
    await expect.poll(() => waking(INLET), { timeout: 15_000 }).toBe('true');
    await press(PUMP, 'Silence');
    await card(PUMP).getByText('Silenced by Wren until').waitFor();
  });

  test('shelves for a time, finds it later, changes the end, and takes it back', async () => {
    await press(PUMP, 'Shelve');
    await dialog().getByText('Nobody is told of it meanwhile.').waitFor();
    await dialog().getByRole('radio', { name: '2 hours' }).check();
    await dialog().getByLabel('Reason').fill('the impeller is being changed');
    await dialog().getByRole('button', { name: 'Shelve' }).click();
    await dialog().getByText('Write a name first.').waitFor();
    await dialog().getByLabel('Your name').fill('Wren');
    await dialog().getByRole('button', { name: 'Shelve' }).click();
    await fold('Shelved (1)').waitFor();
    expect(await card(PUMP).isVisible()).toBe(false);
    const away = [...boat.open.values()].find(({ shelved }) => shelved)?.shelved;
    expect(away).toMatchObject({ by: 'Wren', reason: 'the impeller is being changed' });
    const hours = ((away?.untilMs ?? 0) - boat.atMs) / 3_600_000;
    expect(hours).toBeGreaterThan(1.9);
    expect(hours).toBeLessThanOrEqual(2);
    // Where it went has the focus.
    const focused = 'document.activeElement.textContent';
    await expect
      .poll(() => window.page.evaluate(focused), { timeout: 15_000 })
      .toContain('Shelved (1)');

    await window.page.goto(`${boat.url}#now`);
    await window.page.getByRole('link', { name: /^1 alert shelved/ }).click();
    await fold('Shelved (1)').locator('summary').first().click();
    await card(PUMP).getByText('Shelved until').waitFor();
    await press(PUMP, 'Change the end');
    await dialog().getByLabel('Date and time').fill('2026-07-01T21:15');
    expect(await dialog().getByRole('radio', { name: 'Another time' }).isChecked()).toBe(true);
    await dialog().getByRole('button', { name: 'Shelve' }).click();
    await card(PUMP).getByText('Shelved until 21:15, by Wren').waitFor();
    await press(PUMP, 'Take from the shelf');
    await expect.poll(() => fold('Shelved').count(), { timeout: 15_000 }).toBe(0);
    expect(await waking(PUMP)).toBe('true');
  });

  test('takes out of service with a reason and a review, and puts it back', async () => {
    await press(PUMP, 'Take out of service');
    await dialog().getByText('No reading proves a circuit dead.').waitFor();
    await dialog().getByLabel('Your name').fill('Robin');
    await dialog().getByRole('button', { name: 'Take out of service' }).click();
    await dialog().getByText('Write a reason first.').waitFor();
    await dialog().getByLabel('Reason').fill('pump is ashore');
    await dialog().getByRole('radio', { name: '30 days' }).check();
    await dialog().getByRole('button', { name: 'Take out of service' }).click();
    await fold('Out of service (1)').locator('summary').first().click();
    await card(PUMP).getByText('by Robin: pump is ashore (review').waitFor();
    await press(PUMP, 'Put back in service');
    await expect.poll(() => fold('Out of service').count(), { timeout: 15_000 }).toBe(0);
  });

  test('says that somebody has looked, beside the cautions, and the alert closes', async () => {
    const latched = alertsInEveryState().find(({ phase }) => phase === 'latched');
    if (latched === undefined) throw new Error('No alert waits for an inspection.');
    boat.tell('acknowledged', latched, 'Robin');
    await press('pins of Stern inlet', 'I have looked at it');
    await dialog().getByText('No reading proves a circuit dead.').waitFor();
    await dialog().getByText('do not pull it under load').waitFor();
    await dialog().getByLabel('Your name').fill('Robin');
    await dialog().getByRole('button', { name: 'I have looked at it' }).click();
    await expect.poll(() => card('pins of Stern inlet').count(), { timeout: 15_000 }).toBe(0);
  });

  test('hears in a sentence why the boat refuses, and nothing that was written is lost', async () => {
    const message = 'An alarm can be shelved for at most 8 hours.';
    boat.refusals.set('shelve', { status: 409, message });
    boat.refusals.set('silence', { status: 409, message: 'This alert is over.' });
    await press(PUMP, 'Shelve');
    await dialog().getByLabel('Reason').fill('asleep');
    await dialog().getByRole('radio', { name: 'Another time' }).check();
    await dialog().getByLabel('Your name').fill('Wren');
    await dialog().getByRole('button', { name: 'Shelve' }).click();
    await dialog().getByText('Write date and time of the other end').waitFor();
    await dialog().getByLabel('Date and time').fill('2026-07-03T21:15');
    await dialog().getByRole('button', { name: 'Shelve' }).click();
    await dialog().getByText(message).waitFor();
    expect(await dialog().getByLabel('Reason').inputValue()).toBe('asleep');
    await dialog().getByRole('button', { name: 'Cancel' }).click();
    await press(INLET, 'Silence');
    await card(INLET).getByText('This alert is over.').waitFor();
    expect(await fold('Shelved').count()).toBe(0);
  });
});
