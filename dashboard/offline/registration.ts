/** Asks the browser to keep the page, so that it can be installed and starts without the boat. */

/** Not at once: the first view has the link to itself. */
const AFTER_MS = 3_000;

let registration: ServiceWorkerRegistration | null = null;

async function register(onNewVersion: () => void): Promise<void> {
  const keepers = navigator.serviceWorker;
  // The first keeper of a page that had none is no news.
  let hasKeeper = keepers.controller !== null;
  keepers.addEventListener('controllerchange', () => {
    if (hasKeeper) onNewVersion();
    hasKeeper = true;
  });
  try {
    registration = await keepers.register('./service-worker.js', { updateViaCache: 'none' });
  } catch (error) {
    // The page works without; it only needs the boat to start then.
    console.warn(error);
    return;
  }
}

/**
 * Browsers keep pages only from https or from this very machine; elsewhere nothing happens.
 * `onNewVersion` is told when the boat has another version of the page than the one shown.
 */
export function keepPage(onNewVersion: () => void): void {
  if (!isSecureContext || !('serviceWorker' in navigator)) return;
  setTimeout(() => void register(onNewVersion), AFTER_MS);
}

/** Looks whether the boat has a new version: after it was away, say. */
export function lookForNewVersion(): void {
  // Out of reach or unchanged: nothing to say either way.
  registration?.update().catch(() => {});
}
