/** Delivery as the daemon runs it: what it needs of the store, the station and the settings. */
import { createTelling, digestOf } from '../rules/index.ts';
import type { Alert, Boat, Letter, Telling } from '../rules/index.ts';
import type { PostParts, Refusal } from './api/parts.ts';
import type { Clock } from './clock.ts';
import { type Delivery, startDelivery } from './delivery/delivery.ts';
import { openWays, type OpenWays } from './delivery/open-ways.ts';
import type { Secrets } from './settings/secrets.ts';
import type { Settings } from './settings/settings.ts';
import type { PushChange, Store } from './store/store.ts';

export interface PostOfficeOptions {
  boat: Boat;
  store: Store;
  clock: Clock;
  linkClock?: Clock | undefined;
  random: () => number;
  settings: Settings;
  secrets: Secrets;
  dataFolder: string;
  /** Of the sensors' broker, `host:port` or a whole address; not known before intake has started. */
  mqttAddress: () => string;
  alerts: () => readonly Alert[];
  log: (line: string) => void;
}

const NOTHING = { alertEvents: [], panelEvents: [] };

/** `problem`: what is wrong with the ways in the settings, a line each. */
export function openPostOffice(
  options: PostOfficeOptions,
): { opened: OpenWays } | { problem: string } {
  const { store, settings, clock } = options;
  const opened = openWays({
    ...options,
    ways: settings.ways,
    brokerUrl: () => brokerUrlOf(options.mqttAddress()),
    utcNowMs: () => clock.nowMs() + utcOffsetMs(store),
    isClockTrusted: () => store.isWallClockTrusted(),
    subscriptions: () => store.pushSubscriptions(),
    onGone: (endpoint) => {
      store.commit({ ...NOTHING, pushChanges: [{ endpoint, subscription: null }] });
    },
  });
  return 'problems' in opened ? { problem: opened.problems.join('\n') } : { opened };
}

/** Who is told of what; null where the settings name nobody. */
export function tellingOf({ boat, store, settings, alerts }: PostOfficeOptions): Telling | null {
  if (Object.keys(settings.telling.contacts).length === 0) return null;
  const setting = { boatName: boat.name, settings: settings.telling, open: alerts };
  return createTelling(setting, store.loadTelling());
}

export function startPostOffice(opened: OpenWays, options: PostOfficeOptions): Delivery {
  const { boat, store, clock, settings, linkClock } = options;
  return startDelivery({
    opened,
    store,
    clock,
    ...(linkClock && { linkClock }),
    random: options.random,
    log: options.log,
    alerts: options.alerts,
    boatName: boat.name,
    contacts: settings.telling.contacts,
    utcNowMs: () => clock.nowMs() + utcOffsetMs(store),
    digestOf: (letters: readonly Letter[], nowMs: number) =>
      digestOf(letters, nowMs, settings.telling.timeZone, utcOffsetMs(store)),
  });
}

/** What has to be added to instants of the daemon to have UTC. */
function utcOffsetMs(store: Pick<Store, 'boots'>): number {
  return store.boots().at(-1)?.offsetMs ?? 0;
}

/** Where the embedded broker listens on every address, it is called on this computer's own. */
export function brokerUrlOf(address: string): string {
  if (address.includes('://')) return address;
  return `mqtt://${address.replace(/^(0\.0\.0\.0|\[::\]|::):/, '127.0.0.1:')}`;
}

const MOST_BROWSERS = 50;

/** What the page may ask of it. */
export function postParts(
  delivery: Delivery,
  { store, clock, settings }: Pick<PostOfficeOptions, 'store' | 'clock' | 'settings'>,
): PostParts {
  const { contacts } = settings.telling;
  const change = (pushChange: PushChange): Refusal | null => {
    const result = store.commit({ ...NOTHING, pushChanges: [pushChange] });
    return result.isDurable ? null : { problem: result.problem, why: 'not stored' };
  };
  return {
    ways: () => ({
      ways: delivery.ways(),
      pushKey: delivery.pushKey,
      contacts: Object.entries(contacts).map(([id, { name }]) => ({ id, name })),
    }),
    async test(id) {
      const outcome = await delivery.test(id);
      if (outcome === null) return null;
      return 'answer' in outcome
        ? { isDelivered: true, says: `It has gone; the other end says: ${outcome.answer}.` }
        : { isDelivered: false, says: `It has not gone: ${outcome.problem}.` };
    },
    subscribe({ endpoint, keys, contact }) {
      if (delivery.pushKey === null) {
        return { problem: 'The settings name no way out by push.', why: 'refused' };
      }
      if (contacts[contact] === undefined) {
        return { problem: `The settings name no contact "${contact}".`, why: 'refused' };
      }
      const known = store.pushSubscriptions().filter((own) => own.endpoint !== endpoint);
      if (known.length >= MOST_BROWSERS) {
        return { problem: `${MOST_BROWSERS} browsers are told already.`, why: 'refused' };
      }
      const subscription = { endpoint, keys, contact, addedAtMs: clock.nowMs() };
      return change({ endpoint, subscription });
    },
    unsubscribe: (endpoint) => change({ endpoint, subscription: null }),
  };
}
