/** What the page says when the boat falls silent, and how it comes back. */
import { afterEach, beforeEach, expect, test } from 'vitest';
import { openWindow, type Window } from './chromium.ts';
import { overloadWarning } from './scripted-alerts.ts';
import { startScriptedBoat, type ScriptedBoat } from './scripted-boat.ts';

let boat: ScriptedBoat;
let window: Window;

beforeEach(async () => {
  boat = await startScriptedBoat();
  window = await openWindow({ width: 820 });
  // The browser's clock is the test's: eleven seconds of silence take no time.
  await window.page.clock.install();
});

afterEach(async () => {
  await window.close();
  await boat.stop();
});

const isOld = () => window.page.locator('.frame').getAttribute('data-old');
const link = () => window.page.locator('.link');

test('ten seconds of silence grey the page out, and the first word brings it back', async () => {
  boat.open.set(overloadWarning().id, overloadWarning());
  await window.page.goto(boat.url);
  await link().getByText('Live').waitFor();
  const ink = () => window.styleOf('.bus h3', 'color');
  const before = await ink();

  boat.isMute = true;
  await window.page.clock.fastForward(9_000);
  expect(await isOld()).toBe('false');
  await window.page.clock.fastForward(3_000);
  await link().getByText('What you see is old.').waitFor();
  expect(await link().innerText()).toMatch(/Nothing heard for 1\d\u00a0s/);
  expect(await isOld()).toBe('true');
  expect(await ink()).not.toBe(before);
  // The alert may still hold: it stays, and does not fade.
  expect(await window.styleOf('article.alert h3', 'color')).toBe(before);

  boat.isMute = false;
  await link().getByText('Live').waitFor();
  expect(await isOld()).toBe('false');
  expect(await ink()).toBe(before);
});

test('without a live stream the page asks instead', async () => {
  boat.hasNoStream = true;
  boat.open.set(overloadWarning().id, overloadWarning());
  await window.page.goto(boat.url);
  await link().getByText('Connecting to the boat').waitFor();
  await window.page.clock.fastForward(11_000);
  await link().getByText('Live stream interrupted').waitFor();
  await window.page.locator('article.alert').waitFor();
  await window.page.locator('.bus').first().waitFor();
  expect(await isOld()).toBe('false');

  boat.hasNoStream = false;
  await window.page.clock.fastForward(5_000);
  await link().getByText('Live', { exact: true }).waitFor();
});

test('a boat that never answers is not called live, nor empty', async () => {
  // From the start: what was once heard would be kept and shown as old.
  boat.isMute = true;
  await window.page.goto(boat.url);
  await link().getByText('Connecting to the boat').waitFor();
  await window.page.clock.fastForward(11_000);
  await link().getByText('No answer from the boat').waitFor();
  const shown = await window.page.locator('main').innerText();
  expect(shown).toContain('Open alerts are not known yet.');
  expect(shown).not.toContain('No open alerts.');
});

test('what cannot be read is said, and the page goes on', async () => {
  await window.page.goto(boat.url);
  await link().getByText('Live').waitFor();
  boat.panel = () => {
    throw new Error('not asked in this test');
  };
  boat.isMute = true;
  boat.sendRaw('event: panel\ndata: {"boat": \n\n');
  await window.page.getByText('The boat sent something this page cannot read.').waitFor();
  expect(await window.page.locator('.bus').count()).toBe(3);
});

test('a demo says that it is one, with its scenario and its speed', async () => {
  boat.about = { ...boat.about, isDemo: true, scenario: 'shore lost at night', speed: 10 };
  await window.page.goto(boat.url);
  await window.page.getByText('Demo boat, not a real one').waitFor();
  const mark = await window.page.locator('.demo').innerText();
  expect(mark).toContain('shore lost at night');
  expect(mark).toContain('10 times as fast');
});

test('a daemon of another version asks for a new page', async () => {
  await window.page.goto(boat.url);
  await link().getByText('Live').waitFor();
  boat.about = { ...boat.about, version: '0.2.0' };
  boat.dropStreams();
  await window.page.clock.fastForward(2_000);
  const notice = window.page.getByText('panelward has been updated on the boat.');
  await notice.waitFor();
  expect(await notice.getByRole('button', { name: 'Reload the page' }).count()).toBe(1);
});
