/** This browser as one that is shown messages: its subscription at its maker's push service. */
import { postPushEnd, postPushSubscription } from './api.ts';
import { type PushTrouble, troubleOf } from './models/push-state.ts';

/** The page's service worker is registered a few seconds after the page, and not at all without trust. */
const KEPT_WITHIN_MS = 10_000;

/** A browser without the Internet asks its maker's service for minutes, and says nothing meanwhile. */
const SUBSCRIBED_WITHIN_MS = 20_000;

/** What is awaited, or a failure of this name when it takes too long. */
function inTime<Awaited>(awaited: Promise<Awaited>, ms: number, name: string): Promise<Awaited> {
  const late = new Promise<never>((_, fail) => {
    setTimeout(() => fail(new DOMException(`Nothing after ${ms} ms.`, name)), ms);
  });
  return Promise.race([awaited, late]);
}

const keeper = (): Promise<ServiceWorkerRegistration> =>
  inTime(navigator.serviceWorker.ready, KEPT_WITHIN_MS, 'TimeoutError');

/** Null where it has none, or where nobody can tell. */
export async function subscription(): Promise<PushSubscription | null> {
  try {
    const kept = await navigator.serviceWorker.getRegistration();
    return (await kept?.pushManager.getSubscription()) ?? null;
  } catch {
    return null;
  }
}

/** A trouble of the browser's, or what the boat answers; null where all went well. */
export type Outcome = { trouble: PushTrouble } | { problem: string } | null;

/** Asks the browser, then the boat. */
export async function tellHere(pushKey: string, contact: string): Promise<Outcome> {
  let fresh: PushSubscription;
  try {
    const { pushManager } = await keeper();
    const asked = subscribed(pushManager, pushKey);
    fresh = await inTime(asked, SUBSCRIBED_WITHIN_MS, 'AbortError').catch((error: unknown) => {
      // What comes after all is not wanted any more: nobody has told the boat of it.
      asked.then((late) => late.unsubscribe()).catch(() => {});
      throw error;
    });
  } catch (error) {
    return { trouble: troubleOf(error) };
  }
  const { endpoint = '', keys = {} } = fresh.toJSON();
  const { p256dh = '', auth = '' } = keys;
  const answered = await postPushSubscription({ endpoint, keys: { p256dh, auth }, contact });
  if (answered.ok) return null;
  // Nobody would send it anything.
  await fresh.unsubscribe().catch(() => false);
  return { problem: answered.problem };
}

async function subscribed(manager: PushManager, pushKey: string): Promise<PushSubscription> {
  const options = { userVisibleOnly: true, applicationServerKey: pushKey };
  try {
    return await manager.subscribe(options);
  } catch (error) {
    // It is still subscribed with the key of another boat, or of a boat that was set up anew.
    const other = await manager.getSubscription();
    if (other === null) throw error;
    await other.unsubscribe();
    return manager.subscribe(options);
  }
}

/** The browser first: whatever the boat says, nothing is shown any more then. */
export async function tellNoMore(): Promise<Outcome> {
  const own = await subscription();
  if (own === null) return null;
  try {
    await own.unsubscribe();
  } catch (error) {
    return { trouble: troubleOf(error) };
  }
  const answered = await postPushEnd(own.endpoint);
  return answered.ok ? null : { problem: answered.problem };
}
