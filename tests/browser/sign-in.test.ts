/** Signing in on the page, over the real daemon; and what each role is offered. */
import axe from 'axe-core';
import { describe, expect, onTestFinished, test } from 'vitest';
import { PALETTES } from '../../dashboard/models/preferences.ts';
import { DEFAULT_SETTINGS } from '../../daemon/settings/settings.ts';
import { boatAboard, startAboard } from './aboard.ts';
import { openWindow, type Window } from './chromium.ts';
import { overloadWarning } from './scripted-alerts.ts';
import { startScriptedBoat, type ScriptedBoat } from './scripted-boat.ts';

const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];
const PASSWORD = 'kelp drifts by the old pier';

async function opened(address: string, width = 320): Promise<Window> {
  const window = await openWindow({ width, height: 740, motion: 'reduce' });
  onTestFinished(() => window.close());
  await window.page.goto(address);
  return window;
}

/** In every palette, the night's too: what axe finds, what is too small to touch, what sticks out. */
async function faults({ page }: Window): Promise<string[]> {
  // As high as the page is long: what stands behind the foot must be judged as well.
  const height = await page.evaluate<number>('document.documentElement.scrollHeight');
  await page.setViewportSize({ width: 320, height });
  await page.evaluate(axe.source);
  const found: string[] = [];
  for (const palette of PALETTES) {
    await page.evaluate(`document.documentElement.dataset.palette = '${palette}'`);
    const { violations } = await page.evaluate<axe.AxeResults>(
      `axe.run(document, { runOnly: ${JSON.stringify(TAGS)} })`,
    );
    found.push(
      ...violations.flatMap(({ id, nodes }) =>
        nodes.map(({ html }) => `${palette} ${id}: ${html}`),
      ),
    );
  }
  const small = await page.evaluate<string[]>(
    `[...document.querySelectorAll('main :is(button, input:not([type=checkbox]), label:has(input)), .who-line button')]
      .filter((one) => one.checkVisibility())
      .map((one) => ({ box: one.getBoundingClientRect(), what: one.outerHTML.slice(0, 90) }))
      .filter(({ box }) => box.height < 43.9 || box.width < 43.9)
      .map(({ what }) => 'small: ' + what)`,
  );
  const width = await page.evaluate<number>('document.documentElement.scrollWidth');
  await page.setViewportSize({ width: 320, height: 740 });
  return [...found, ...small, ...(width > 320 ? [`${width} px wide`] : [])];
}

test('a boat is set up, signed out of and signed in to again, on a narrow phone', async () => {
  const said: string[] = [];
  const { address } = await startAboard(boatAboard('../fixtures/boats/small.yaml'), undefined, {
    settings: { ...DEFAULT_SETTINGS, page: { ...DEFAULT_SETTINGS.page, loopbackRole: 'none' } },
    tellConsole: (line) => said.push(line),
  });
  const window = await opened(address);
  const { page } = window;
  await page.getByRole('heading', { name: 'Set up this boat' }).waitFor();
  expect(await faults(window)).toEqual([]);
  expect(await page.locator('.bus').count()).toBe(0);

  const [code = ''] = /\d{4} \d{4}/.exec(said.join()) ?? [];
  await page.getByLabel('One-time code').fill('0000 0000');
  await page.getByLabel('Your name').fill('Ann');
  await page.getByLabel('Choose a password').fill(PASSWORD);
  await page.getByRole('button', { name: 'Set up' }).click();
  await page.getByText('This is not the code.').waitFor();
  await page.getByLabel('One-time code').fill(code);
  await page.getByRole('button', { name: 'Set up' }).click();
  await page.getByText('Signed in as Ann (technician)').waitFor();
  await page.locator('.bus').first().waitFor();
  expect(await faults(window)).toEqual([]);

  await page.goto(`${address}#health`);
  await page.getByRole('button', { name: 'Show persons, sessions and the audit trail' }).click();
  await page.getByText('Ann, 127.0.0.1: set up Ann done').waitFor();
  expect(await faults(window)).toEqual([]);

  await page.getByRole('button', { name: 'Sign out' }).click();
  await page.getByRole('heading', { name: 'Sign in' }).waitFor();
  expect(await faults(window)).toEqual([]);
  // Nothing of the boat is left in the browser.
  expect(await page.evaluate('localStorage.getItem("panelward.last-known")')).toBeNull();
  expect((await page.evaluate<string>('document.body.innerText')).toLowerCase()).not.toContain(
    'bus',
  );

  await page.getByLabel('Name').fill('ann');
  await page.getByLabel('Password', { exact: true }).fill('not it');
  await page.getByRole('button', { name: 'Sign in' }).click();
  await page.getByText('Name or password is wrong.').waitFor();
  await page.getByLabel('Password', { exact: true }).fill(PASSWORD);
  // Whoever wants to see what they type may; the field keeps what stands in it.
  await page.getByLabel('Show the password').check();
  expect(await page.getByLabel('Password', { exact: true }).inputValue()).toBe(PASSWORD);
  await page.getByRole('button', { name: 'Sign in' }).click();
  await page.getByText('Signed in as Ann (technician)').waitFor();

  // What is said stands under the name of whoever is signed in; nobody is asked for one.
  await page.getByRole('button', { name: 'Change what the boat is about' }).click();
  expect(await page.getByRole('dialog').getByLabel('Your name').count()).toBe(0);
  await page.getByRole('radio', { name: /^Nobody aboard/ }).check();
  await page.getByRole('button', { name: 'Say so' }).click();
  await page.getByText('said by Ann').waitFor();
});

describe('what is offered', () => {
  async function lookedAt(visitor: Partial<ScriptedBoat['visitor']>): Promise<Window> {
    const boat = await startScriptedBoat();
    onTestFinished(() => boat.stop());
    boat.visitor = { ...boat.visitor, isLocal: false, canSignIn: true, ...visitor };
    boat.open.set('a', overloadWarning({ id: 'a' }));
    const window = await opened(`${boat.url}#alerts`);
    await window.page.getByText('Bow inlet').first().waitFor();
    return window;
  }
  const buttons = ({ page }: Window) =>
    page
      .locator('main')
      .getByRole('button', { name: /^(Acknowledge|Silence|Shelve|Take out)/ })
      .count();

  test('a guest of the network looks, and is told why no more', async () => {
    const window = await lookedAt({ role: 'guest' });
    await window.page.getByText('You are looking as a guest.').waitFor();
    await window.page.getByText('Only the crew can do something about alerts.').waitFor();
    expect(await buttons(window)).toBe(0);
    expect(await window.page.getByRole('button', { name: 'Change what the boat' }).count()).toBe(0);
    expect(await faults(window)).toEqual([]);
    await window.page.getByRole('button', { name: 'Sign in' }).click();
    await window.page.getByRole('heading', { name: 'Sign in' }).waitFor();
    await window.page.getByRole('button', { name: 'Back' }).click();
    await window.page.getByText('You are looking as a guest.').waitFor();
  });

  test('the crew acts, and takes nothing out of service', async () => {
    const window = await lookedAt({ role: 'crew', person: 'Cal' });
    await window.page.getByText('Signed in as Cal (crew)').waitFor();
    expect(await buttons(window)).toBeGreaterThan(1);
    expect(
      await window.page.getByRole('button', { name: /^Out of service|^Take out/ }).count(),
    ).toBe(0);
    await window.page.getByText('Only a technician takes alerts out of service').waitFor();
  });

  test('nobody sees anything of the boat', async () => {
    const boat = await startScriptedBoat();
    onTestFinished(() => boat.stop());
    boat.visitor = { ...boat.visitor, role: null, isLocal: false, canSignIn: true };
    const window = await opened(boat.url);
    await window.page.getByRole('heading', { name: 'Sign in' }).waitFor();
    expect(await window.page.locator('.bus, .alert, .feeding').count()).toBe(0);
  });
});
