/**
 * What the service worker does with a request. Only the page's own files are ever kept: readings,
 * alerts and everything else that the boat says always come from the boat. Pure.
 */

/** `shell` is the page itself, `kept` one of its files, `boat` everything that is never kept. */
export type Answerer = 'shell' | 'kept' | 'boat';

export interface Asked {
  method: string;
  url: string;
  /** The browser opens the address as a page. */
  isNavigation: boolean;
}

/** `scope` is the address of the page, ending in `/`; `files` are its files relative to it. */
export function answererOf(asked: Asked, scope: string, files: ReadonlySet<string>): Answerer {
  if (asked.method !== 'GET' || !asked.url.startsWith(scope)) return 'boat';
  const path = new URL(asked.url).pathname.slice(new URL(scope).pathname.length);
  if (path === '' || path === 'index.html') return asked.isNavigation ? 'shell' : 'boat';
  // A page of the version before may still ask for a file that is no longer in the list.
  return files.has(path) || path.startsWith('assets/') ? 'kept' : 'boat';
}

/** Which of the caches, oldest first, can go: a page that is still open may need the one before. */
export function outdated(names: readonly string[], prefix: string, current: string): string[] {
  const older = names.filter((name) => name.startsWith(prefix) && name !== current);
  return older.slice(0, -1);
}
