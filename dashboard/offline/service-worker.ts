/**
 * Lets the installed page start without the boat. The page itself comes from the boat where it
 * answers, so that a new version is seen at once; its other files never change under their names.
 */
import { answererOf, outdated } from './keeping.ts';

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
  readonly data: { json(): unknown } | null;
}
interface Clicked extends Waiting {
  readonly notification: { close(): void };
}
interface WorkerScope {
  readonly registration: {
    readonly scope: string;
    showNotification(title: string, options: { body: string; tag: string }): Promise<void>;
  };
  readonly clients: { claim(): Promise<void>; openWindow(url: string): Promise<unknown> };
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

/** What the boat has sent is text; whatever else arrives shows as nothing. */
function textIn(message: unknown, name: 'headline' | 'text' | 'key'): string {
  if (typeof message !== 'object' || message === null) return '';
  const found: unknown = Object.entries(message).find(([key]) => key === name)?.[1];
  return typeof found === 'string' ? found : '';
}

worker.addEventListener('push', (event) => {
  const message = event.data?.json();
  const shown = { body: textIn(message, 'text'), tag: textIn(message, 'key') };
  event.waitUntil(worker.registration.showNotification(textIn(message, 'headline'), shown));
});

worker.addEventListener('notificationclick', (event) => {
  event.notification.close();
  event.waitUntil(worker.clients.openWindow(worker.registration.scope));
});
