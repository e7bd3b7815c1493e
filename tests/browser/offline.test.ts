/**
 * The installed page without its boat: it starts, shows what was known last as old, and never keeps
 * an answer of the API. Browsers keep pages from https or from this very machine only, as here.
 */
import { afterEach, beforeEach, expect, test } from 'vitest';
import { openWindow, type Window } from './chromium.ts';
import { overloadWarning } from './scripted-alerts.ts';
import { startScriptedBoat, type ScriptedBoat } from './scripted-boat.ts';

let boat: ScriptedBoat;
let window: Window;

beforeEach(async () => {
  boat = await startScriptedBoat();
  window = await openWindow({ width: 360, height: 740 });
  await window.page.goto(boat.url);
  await window.page.getByText('42.7').first().waitFor();
  await window.page.evaluate('navigator.serviceWorker.ready.then(() => true)');
});

afterEach(async () => {
  await window.close();
  await boat.stop();
});

const isOld = () => window.page.locator('.frame').getAttribute('data-old');

/** Paths of everything that the browser keeps of the page, without the hashes. */
const keptPaths = () =>
  window.page.evaluate<string[]>(`(async () => {
    const names = await caches.keys();
    const caches_ = await Promise.all(names.map((name) => caches.open(name)));
    const requests = (await Promise.all(caches_.map((own) => own.keys()))).flat();
    return requests.map(({ url }) => new URL(url).pathname);
  })()`);

test('starts with the last known state, greyed out, with its age, and comes back to life', async () => {
  boat.tell('raised', overloadWarning());
  await window.page.getByText('Bow inlet is overloaded').first().waitFor();
  const live = await window.styleOf('.leg-amps .number', 'color');
  await window.page.goto('about:blank');
  boat.isGone = true;
  boat.dropStreams();

  await window.page.goto(boat.url);
  const bar = window.page.locator('.link');
  await bar.getByText('Not connected to the boat. What you see is what it said at').waitFor();
  expect((await bar.innerText()).replaceAll('\u00a0', ' ')).toMatch(/at \d\d:\d\d, \d+ s ago\.$/);
  expect(await bar.locator('.mark').count()).toBe(1);
  expect(await isOld()).toBe('true');
  await window.page.getByText('42.7').first().waitFor();
  expect(await window.styleOf('.leg-amps .number', 'color')).not.toBe(live);
  await window.page.getByText('Bow inlet is overloaded').first().waitFor();
  // It grows older before one's eyes.
  await bar.getByText(/ 1\d\ss ago/).waitFor({ timeout: 20_000 });
  expect(await isOld()).toBe('true');

  boat.isGone = false;
  await bar.getByText('Live').waitFor({ timeout: 20_000 });
  expect(await isOld()).toBe('false');
});

test('every view opens without the boat, and no answer of the boat is kept', async () => {
  await expect.poll(keptPaths, { timeout: 15_000 }).toContain('/');
  const kept = await keptPaths();
  expect(kept.filter((path) => path.startsWith('/api'))).toEqual([]);
  expect(kept.filter((path) => path.includes('chart-drawing'))).toEqual([]);
  expect(kept).toContain('/manifest.webmanifest');
  await window.page.goto('about:blank');
  boat.isGone = true;
  boat.dropStreams();
  await window.page.goto(boat.url);
  await window.page.getByText('Not connected to the boat.').waitFor();
  for (const [view, heading] of [
    ['health', 'Health'],
    ['circuits', 'Circuits'],
    ['guest', ''],
    ['alerts', 'Alerts'],
    ['history', 'History'],
    ['report', 'Report'],
  ] as const) {
    await window.page.goto(`${boat.url}#${view}`);
    await window.page.locator('main h2', { hasText: heading }).first().waitFor();
    expect(await isOld()).toBe('true');
  }
  expect((await keptPaths()).filter((path) => path.startsWith('/api'))).toEqual([]);
});

test('a new version on the boat is told, and taken up by loading the page again', async () => {
  const worker = await (await fetch(`${boat.url}service-worker.js`)).text();
  boat.otherFiles.set('service-worker.js', worker.replace('panelward-page-', 'panelward-page-x'));
  boat.dropStreams();
  await window.page.getByText('panelward has been updated on the boat.').waitFor();
  await window.page.getByRole('button', { name: 'Reload the page' }).click();
  await window.page.getByText('42.7').first().waitFor();
  expect(await window.page.getByText('has been updated').count()).toBe(0);
});

test('a browser can install it: name, own icons in the sizes asked for, a start address', async () => {
  const manifest = (await (await fetch(`${boat.url}manifest.webmanifest`)).json()) as {
    name: string;
    start_url: string;
    display: string;
    icons: { src: string; sizes: string; purpose: string }[];
  };
  expect(manifest).toMatchObject({ name: 'panelward', start_url: './', display: 'standalone' });
  const page = await window.page.context().newCDPSession(window.page);
  // What Chromium itself finds wanting before it offers to install a page.
  const { installabilityErrors } = await page.send('Page.getInstallabilityErrors');
  expect(installabilityErrors).toEqual([]);
  const { errors } = await page.send('Page.getAppManifest');
  expect(errors).toEqual([]);
});
