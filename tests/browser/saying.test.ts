/** What a person tells the page, over the real daemon: the mode, and where a switch stands. */
import axe from 'axe-core';
import { beforeEach, describe, expect, onTestFinished, test } from 'vitest';
import { boatAboard, startAboard } from './aboard.ts';
import { openWindow } from './chromium.ts';
import type { Window } from './chromium.ts';

const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];

let window: Window;
let address: string;

async function violations(): Promise<string[]> {
  await window.page.evaluate(axe.source);
  const { violations: found } = await window.page.evaluate<axe.AxeResults>(
    `axe.run(document, { runOnly: ${JSON.stringify(TAGS)} })`,
  );
  return found.flatMap(({ id, nodes }) => nodes.map(({ html }) => `${id}: ${html}`));
}

/** What can be touched in the open form and is less than 44 pixels high or wide. */
const SMALL = `[...document.querySelectorAll('dialog[open] :is(button, label:has([type=radio]), input:not([type=radio]))')]
  .map((one) => ({ box: one.getBoundingClientRect(), what: one.outerHTML.slice(0, 90) }))
  .filter(({ box }) => box.height < 43.9 || box.width < 43.9)
  .map(({ what }) => what)`;

const dialog = () => window.page.getByRole('dialog');
const problem = (text: string) => dialog().getByRole('alert').getByText(text);
const inDialog = (name: string) => dialog().getByRole('button', { name });

async function look(width: number): Promise<void> {
  window = await openWindow({ width, height: 740, motion: 'reduce' });
  onTestFinished(() => window.close());
  await window.page.goto(address);
  await window.page.locator('.bus').first().waitFor();
}

async function told(path: string): Promise<Record<string, unknown>> {
  const answer = await fetch(`${address}/api/v1/${path}`);
  return (await answer.json()) as Record<string, unknown>;
}

/** `datetime-local` in the time zone of the test's browser, so many hours from now. */
const inHours = (hours: number): Promise<string> =>
  window.page.evaluate<string>(`(() => {
    const at = new Date(Date.now() + ${hours} * 3_600_000);
    return new Date(at - at.getTimezoneOffset() * 60_000).toISOString().slice(0, 16);
  })()`);

beforeEach(async () => {
  ({ address } = await startAboard(boatAboard('../fixtures/boats/small.yaml')));
});

describe('the mode', () => {
  test('is said with name and end, every mistake is told in words, and the name is kept', async () => {
    await look(360);
    await window.page.getByText('Aboard', { exact: true }).waitFor();
    await window.page.getByRole('button', { name: 'Change what the boat is about' }).click();
    expect(await violations()).toEqual([]);
    expect(await window.page.evaluate(SMALL)).toEqual([]);

    await dialog()
      .getByRole('radio', { name: /^Work in progress/ })
      .check();
    await inDialog('Say so').click();
    await problem('Write a name first.').waitFor();
    expect(await violations()).toEqual([]);
    await dialog().getByLabel('Your name').fill('Wren');
    await inDialog('Say so').click();
    await problem('Work in progress needs an end within 24 hours.').waitFor();
    await dialog()
      .getByLabel('Until')
      .fill(await inHours(-1));
    await inDialog('Say so').click();
    await problem('The end must lie ahead.').waitFor();
    await dialog()
      .getByLabel('Until')
      .fill(await inHours(3));
    await inDialog('Say so').click();

    const line = window.page.locator('.mode-line');
    await line.getByText(/said by Wren at \d\d:\d\d, until /).waitFor();
    expect(await line.innerText()).toMatch(/^Work in progress/);
    expect(await dialog().count()).toBe(0);
    const { mode } = await told('panel');
    expect(mode).toMatchObject({ name: 'work in progress', by: 'Wren' });

    await window.page.reload();
    await line.getByText(/said by Wren/).waitFor();
    await window.page.getByRole('button', { name: 'Change what the boat is about' }).click();
    expect(await dialog().getByLabel('Your name').inputValue()).toBe('Wren');
    // The page heard a refusal twice, which the browser writes to its console.
    expect(window.errors.filter((error) => !error.includes('409'))).toEqual([]);
  });

  test('is said by keyboard alone', async () => {
    await look(1366);
    const { keyboard } = window.page;
    await window.page.getByRole('button', { name: 'Change what the boat is about' }).focus();
    await keyboard.press('Enter');
    await dialog().waitFor();
    await dialog()
      .getByRole('radio', { name: /^Aboard/ })
      .focus();
    await keyboard.press('ArrowDown');
    await keyboard.press('Tab');
    await dialog().getByLabel('Your name').focus();
    await keyboard.type('Robin');
    await keyboard.press('Enter');
    await window.page
      .locator('.mode-line')
      .getByText(/said by Robin/)
      .waitFor();
    expect((await told('panel'))['mode']).toMatchObject({ name: 'away', untilMs: null });
    // The way back to where one was.
    const focused = 'document.activeElement.textContent';
    expect(await window.page.evaluate(focused)).toContain('Change');
  });
});

describe('where a selector stands', () => {
  test('is said beside its cautions, shown as a word, and taken back', async () => {
    await look(360);
    const source = window.page.locator('.selector', { hasText: 'SOURCE' });
    await source.getByText(/not known which/).waitFor();
    await source.getByRole('button', { name: 'I have turned it SOURCE' }).click();
    await dialog().getByRole('heading', { name: 'Where have you turned SOURCE?' }).waitFor();
    const text = await dialog().innerText();
    expect(text).toContain('Switch heavy loads off before you turn');
    expect(text).toContain('No reading proves a circuit dead.');
    expect(text).toContain('panelward switches nothing.');
    expect(await violations()).toEqual([]);
    expect(await window.page.evaluate(SMALL)).toEqual([]);

    await dialog().getByLabel('Your name').fill('Wren');
    await inDialog('I have turned it there').click();
    await problem('Choose a position first.').waitFor();
    await dialog().getByRole('radio', { name: 'GENERATOR' }).check();
    await inDialog('I have turned it there').click();
    await source.getByText('stands on GENERATOR (by somebody’s word)').waitFor();

    await source.getByRole('button', { name: 'I have turned it SOURCE' }).click();
    expect(await dialog().getByLabel('Your name').inputValue()).toBe('Wren');
    await inDialog('Take back what was said').click();
    await source.getByText(/not known which/).waitFor();
    const { events } = await told('events');
    expect(JSON.stringify(events)).toContain('Wren takes back what was said of SOURCE.');
    expect(window.errors).toEqual([]);
  });

  test('of a main switch as well, where there is nothing to take back yet', async () => {
    await look(820);
    const main = window.page
      .locator('.switch', { hasText: 'DC' })
      .or(window.page.locator('.switch', { hasText: 'MAIN' }));
    await main.first().getByRole('button', { name: 'I have turned it MAIN' }).click();
    expect(await inDialog('Take back what was said').count()).toBe(0);
    await dialog().getByRole('radio', { name: 'open (off)' }).check();
    await dialog().getByLabel('Your name').fill('Robin');
    await inDialog('I have turned it there').click();
    await main.getByText('(by somebody’s word)').waitFor();
    const { mainSwitches } = await told('panel');
    expect(mainSwitches).toMatchObject([{ id: 'main', position: 'open', evidence: 'stated' }]);
  });

  test('a boat that refuses says why, and the form stays as it was filled in', async () => {
    await look(820);
    await window.page.route('**/api/v1/statements', (route) =>
      route.fulfill({
        status: 503,
        contentType: 'application/json',
        body: JSON.stringify({ error: { message: 'The disk refuses; nothing was recorded.' } }),
      }),
    );
    await window.page.getByRole('button', { name: 'I have turned it SOURCE' }).click();
    await dialog().getByRole('radio', { name: 'SHORE' }).check();
    await dialog().getByLabel('Your name').fill('Robin');
    await inDialog('I have turned it there').click();
    await problem('The disk refuses; nothing was recorded.').waitFor();
    expect(await dialog().getByRole('radio', { name: 'SHORE' }).isChecked()).toBe(true);
    await window.page.keyboard.press('Escape');
    await expect.poll(() => dialog().count()).toBe(0);
  });
});
