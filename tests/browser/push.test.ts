/**
 * Messages that a browser shows, over the real daemon with the boat's own certificate. No test browser
 * reaches a push service: what its maker's service would do is done by the debugger's own command
 * for it (Chrome DevTools Protocol, `ServiceWorker.deliverPushMessage`).
 */
import axe from 'axe-core';
import { createHash, X509Certificate } from 'node:crypto';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { CDPSession, Worker } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { makeTls } from '../../daemon/access/tls-making.ts';
import { startClock } from '../../daemon/clock.ts';
import { type Daemon, startDaemon } from '../../daemon/daemon.ts';
import { payloadOf } from '../../daemon/delivery/push-way.ts';
import { settingsSchema } from '../../daemon/settings/settings.ts';
import { letterWith } from '../daemon/delivery/fixtures.ts';
import { boatAboard } from './aboard.ts';
import { openWindow, type Window } from './chromium.ts';

let folder: string;
let daemon: Daemon;
let window: Window;
let cdp: CDPSession;
let registrationId = '';

const onePhone = { width: 360, height: 740 };

async function aboard(): Promise<Daemon> {
  folder = mkdtempSync(join(tmpdir(), 'panelward-push-'));
  const made = await makeTls(folder, { boat: 'Test', names: ['127.0.0.1'], nowMs: Date.now() });
  if ('problem' in made) throw new Error(made.problem);
  const tls = { cert: join(folder, 'tls/page.crt'), key: join(folder, 'tls/page.key') };
  const started = await startDaemon({
    boat: boatAboard('../fixtures/boats/small.yaml'),
    clock: startClock(),
    dataFolder: folder,
    host: '127.0.0.1',
    port: 0,
    log: () => {},
    intake: { mqtt: { broker: 'embedded', port: 0 } },
    settings: settingsSchema.parse({
      page: { tls },
      ways: { phones: { kind: 'push', subject: 'wren@example.org' } },
      telling: { timeZone: 'UTC', contacts: { wren: { name: 'Wren', ways: ['phones'] } } },
    }),
  });
  if ('problem' in started) throw new Error(started.problem);
  return started;
}

/** Trusts the boat's own certificate, and no other that no authority vouches for. */
function trusting(): string {
  const { publicKey } = new X509Certificate(readFileSync(join(folder, 'tls/page.crt')));
  const spki = publicKey.export({ type: 'spki', format: 'der' });
  return `--ignore-certificate-errors-spki-list=${createHash('sha256').update(spki).digest('base64')}`;
}

beforeAll(async () => {
  daemon = await aboard();
  window = await openWindow({ ...onePhone, args: [trusting()] });
  const { page } = window;
  cdp = await page.context().newCDPSession(page);
  const registered = new Promise<string>((done) => {
    cdp.on('ServiceWorker.workerRegistrationUpdated', ({ registrations: [own] }) => {
      if (own) done(own.registrationId);
    });
  });
  await cdp.send('ServiceWorker.enable');
  await page.goto(`${daemon.address}#health`);
  await page.evaluate('navigator.serviceWorker.ready.then(() => true)');
  registrationId = await registered;
});

afterAll(async () => {
  await window.close();
  await daemon.stop();
  rmSync(folder, { recursive: true, force: true });
});

const origin = (): string => new URL(daemon.address).origin;

/** What a person has said to the browser about notifications of this page. */
const allow = (setting: 'granted' | 'denied') =>
  cdp.send('Browser.setPermission', {
    origin: origin(),
    permission: { name: 'notifications' },
    setting,
  });

/** Titles, texts and tags of what this browser shows. */
const shown = (): Promise<{ title: string; body: string; tag: string }[]> =>
  window.page.evaluate(`(async () => {
    const { ready } = navigator.serviceWorker;
    const all = await (await ready).getNotifications();
    return all.map(({ title, body, tag }) => ({ title, body, tag }));
  })()`);

const deliver = (text: string) =>
  cdp.send('ServiceWorker.deliverPushMessage', { origin: origin(), registrationId, data: text });

function worker(): Worker {
  const [own] = window.page.context().serviceWorkers();
  if (!own) throw new Error('the page has no service worker');
  return own;
}

/** A finger on the newest notification. */
const touch = () =>
  worker().evaluate(`self.registration.getNotifications().then((all) =>
    self.dispatchEvent(new NotificationEvent('notificationclick', { notification: all.find(({ tag }) => tag.startsWith('overload')) })))`);

test('what is pushed is shown: the letter as it is, the newest word of an alert, and what is broken', async () => {
  await allow('granted');
  const about = { alertId: 'shore-power-lost.inlet.7' };
  const lost = letterWith('k1', { ...about, headline: 'Puffin: shore power is lost', text: 'A' });
  await deliver(payloadOf(lost));
  await expect
    .poll(shown)
    .toEqual([{ title: 'Puffin: shore power is lost', body: 'A', tag: about.alertId }]);
  await deliver(payloadOf(letterWith('k2', { ...about, headline: 'Puffin: back', text: 'B' })));
  await expect.poll(shown).toEqual([{ title: 'Puffin: back', body: 'B', tag: about.alertId }]);
  await deliver('no JSON at all');
  await expect
    .poll(async () => (await shown()).map(({ body }) => body))
    .toContain('no JSON at all');
});

test('a touch of it opens the page at that alert', async () => {
  await deliver(payloadOf(letterWith('k3', { alertId: 'overload.a-bus.3', headline: 'x' })));
  await expect
    .poll(async () => (await shown()).map(({ tag }) => tag))
    .toContain('overload.a-bus.3');
  await touch();
  await window.page
    .getByText('The alert that the message was about is not open any more')
    .waitFor();
  expect(new URL(window.page.url()).hash).toBe('#alerts?alert=overload.a-bus.3');
  expect((await shown()).map(({ tag }) => tag)).not.toContain('overload.a-bus.3');
});

test('a browser that reaches no push service says so; forbidden ones say what to do', async () => {
  const { page } = window;
  await page.goto(`${daemon.address}#health`);
  await page.clock.install();
  await page.getByRole('button', { name: 'Show messages for Wren here' }).click();
  const status = page.getByRole('group', { name: 'Messages in this browser' }).getByRole('status');
  await status.getByText('Asking the browser…').waitFor();
  await page.clock.fastForward(21_000);
  await expect
    .poll(() => status.innerText())
    .toMatch(/^The browser could not reach its maker’s push service/);

  await allow('denied');
  await page.reload();
  await page.getByText('Notifications of this page are forbidden in this browser').waitFor();
  expect(await page.getByRole('button', { name: /Show messages/ }).count()).toBe(0);
  await allow('granted');
});

/** A push service that takes everybody, as far as the page can tell. */
const TAKING = `(() => {
  const kept = 'test-is-subscribed';
  const own = {
    endpoint: 'https://push.example.org/one',
    toJSON: () => ({
      endpoint: own.endpoint,
      keys: { p256dh: 'B'.repeat(87), auth: 'a'.repeat(22) },
    }),
    unsubscribe: async () => { localStorage.removeItem(kept); return true; },
  };
  PushManager.prototype.subscribe = async () => { localStorage.setItem(kept, '1'); return own; };
  PushManager.prototype.getSubscription = async () => localStorage.getItem(kept) ? own : null;
})()`;

test('a browser is told, says so when one comes back, and is told no more when it asks', async () => {
  const { page } = window;
  const asked: { path: string; answer: unknown }[] = [];
  page.on('response', (response) => {
    const path = new URL(response.url()).pathname;
    if (!path.includes('push-subscriptions')) return;
    void response.json().then((answer: unknown) => asked.push({ path, answer }));
  });
  await page.addInitScript(TAKING);
  await page.reload();
  await page.getByRole('button', { name: 'Show messages for Wren here' }).click();
  await page.getByText('This browser shows messages for Wren from now on.').waitFor();
  await page.reload();
  const stop = page.getByRole('button', { name: 'Show no more here' });
  await stop.waitFor();
  await page.evaluate(axe.source);
  const { violations } = await page.evaluate<axe.AxeResults>(
    `axe.run(document.querySelector('[aria-labelledby=push-heading]'))`,
  );
  expect(violations).toEqual([]);
  const box = await stop.boundingBox();
  expect(box?.height).toBeGreaterThanOrEqual(44);
  expect(await page.evaluate('document.documentElement.scrollWidth')).toBe(onePhone.width);
  await stop.click();
  await page.getByText('This browser shows no more messages.').waitFor();
  await page.getByRole('button', { name: 'Show messages for Wren here' }).waitFor();
  await expect
    .poll(() => asked)
    .toEqual([
      { path: '/api/v1/push-subscriptions', answer: { isSubscribed: true } },
      { path: '/api/v1/push-subscriptions/end', answer: { isSubscribed: false } },
    ]);
});
