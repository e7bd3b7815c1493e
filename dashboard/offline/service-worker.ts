/**
 * Lets the installed page start without the boat. The page itself comes from the boat where it
 * answers, so that a new version is seen at once; its other files never change under their names.
 */
import { answererOf, outdated } from './keeping.ts';
import { opensOf, type Shown, shownOf } from './pushed.ts';

/** Written in by the build: the page's files, and a mark that changes with any of them. */
declare const PAGE_FILES: readonly string[];
declare const PAGE_MARK: string;

interface Waiting extends Event {
  waitUntil(done: Promise<unknown>): void;
}
interface Asking extends Waiting {
  readonly request: Request;
  respondWith(answer: Promise<Response>): void;
}
interface Pushed extends Waiting {
  readonly data: { text(): string } | null;
}
interface Clicked extends Waiting {
  readonly notification: { close(): void; readonly data: unknown };
}
interface OpenPage {
  focus(): Promise<unknown>;
  navigate(url: string): Promise<unknown>;
}
interface WorkerScope {
  readonly registration: {
    readonly scope: string;
    showNotification(title: string, options: Shown['options']): Promise<void>;
  };
  readonly clients: {
    claim(): Promise<void>;
    matchAll(which: { type: 'window' }): Promise<readonly OpenPage[]>;
    openWindow(url: string): Promise<unknown>;
  };
  skipWaiting(): Promise<void>;
  addEventListener(name: 'install' | 'activate', take: (event: Waiting) => void): void;
  addEventListener(name: 'fetch', take: (event: Asking) => void): void;
  addEventListener(name: 'push', take: (event: Pushed) => void): void;
  addEventListener(name: 'notificationclick', take: (event: Clicked) => void): void;
}
// oxlint-disable-next-line typescript/no-unsafe-type-assertion -- the page's types know no worker
const worker = self as unknown as WorkerScope;

const PREFIX = 'panelward-page-';
const OWN = PREFIX + PAGE_MARK;
const FILES = new Set(PAGE_FILES);
/** Loaded with a chart or not at all; kept once it was. */
const isOnDemand = (file: string) => file.includes('chart-drawing');
/** A boat that takes longer to give the page counts as out of reach. */
const PATIENCE_MS = 4_000;

async function install(): Promise<void> {
  const cache = await caches.open(OWN);
  const needed = PAGE_FILES.filter((file) => !isOnDemand(file));
  await cache.addAll(['./', ...needed].map((file) => new Request(file, { cache: 'no-cache' })));
  await worker.skipWaiting();
}

async function activate(): Promise<void> {
  const names = outdated(await caches.keys(), PREFIX, OWN);
  await Promise.all(names.map((name) => caches.delete(name)));
  await worker.clients.claim();
}

async function shell(): Promise<Response> {
  try {
    const answer = await fetch('./', {
      cache: 'no-cache',
      signal: AbortSignal.timeout(PATIENCE_MS),
    });
    if (answer.ok) return answer;
  } catch {
    // Out of reach: the page as it was last installed says so itself.
  }
  const cache = await caches.open(OWN);
  return (await cache.match('./')) ?? Response.error();
}

async function kept(request: Request): Promise<Response> {
  const own = await caches.open(OWN);
  const found = (await own.match(request)) ?? (await caches.match(request));
  if (found !== undefined) return found;
  const answer = await fetch(request);
  if (answer.ok) await own.put(request, answer.clone());
  return answer;
}

worker.addEventListener('install', (event) => event.waitUntil(install()));
worker.addEventListener('activate', (event) => event.waitUntil(activate()));
worker.addEventListener('fetch', (event) => {
  const { method, url, mode } = event.request;
  const asked = { method, url, isNavigation: mode === 'navigate' };
  switch (answererOf(asked, worker.registration.scope, FILES)) {
    case 'shell':
      event.respondWith(shell());
      break;
    case 'kept':
      event.respondWith(kept(event.request));
      break;
    case 'boat':
      break;
  }
});

worker.addEventListener('push', (event) => {
  const { title, options } = shownOf(event.data?.text() ?? '');
  event.waitUntil(worker.registration.showNotification(title, options));
});

/** In a page that is open already, else in a new one. */
async function open(url: string): Promise<void> {
  const [page] = await worker.clients.matchAll({ type: 'window' });
  // Both at once: the right to come to the front does not last.
  const asked = page === undefined ? [] : [page.navigate(url), page.focus()];
  const [led] = await Promise.allSettled(asked);
  // A page that is going away cannot be led anywhere.
  if (led?.status !== 'fulfilled') await worker.clients.openWindow(url);
}

worker.addEventListener('notificationclick', (event) => {
  event.notification.close();
  event.waitUntil(open(worker.registration.scope + opensOf(event.notification.data)));
});
