/** The watcher's post office: letters about silences go out as those aboard do, through an outbox. */
import { digestOf } from '../rules/index.ts';
import type { Letter } from '../rules/index.ts';
import type { Clock } from './clock.ts';
import { startDelivery } from './delivery/delivery.ts';
import { openWays } from './delivery/open-ways.ts';
import type { Secrets } from './settings/secrets.ts';
import type { Settings } from './settings/settings.ts';
import { openStore, StoreProblem } from './store/store.ts';
import type { Store } from './store/store.ts';
import { watchWallClock } from './wall-clock.ts';
import type { WallSource } from './wall-clock.ts';

export interface AshoreOffice {
  /** Takes a letter for good: it is on the disk. Throws where it is not. */
  tell(letter: Letter): void;
  /** Whole sentences. */
  problems(): string[];
  stop(): Promise<void>;
}

/** Where a way by MQTT finds a broker ashore, unless it names one. */
const LOCAL_BROKER = 'mqtt://127.0.0.1:1883';
const NOTHING = { alertEvents: [], panelEvents: [] };

/** Opens the outbox in `folder` and the ways of the settings; a problem is for a person. */
export function openAshoreOffice(given: {
  settings: Settings;
  secrets: Secrets;
  folder: string;
  clock: Clock;
  wall: WallSource;
  random: () => number;
  log: (line: string) => void;
}): AshoreOffice | { problem: string } {
  const { settings, secrets, folder, clock, wall, random, log } = given;
  let store: Store;
  try {
    store = openStore({ folder, clock, log });
  } catch (error) {
    if (error instanceof StoreProblem) return { problem: error.message };
    throw error;
  }
  const stopWallWatch = watchWallClock({ clock, wall, record: store, log });
  const opened = openWays({
    ways: settings.ways,
    secrets,
    dataFolder: folder,
    brokerUrl: () => LOCAL_BROKER,
    utcNowMs: () => wall.nowMs(),
    isClockTrusted: () => store.isWallClockTrusted(),
    subscriptions: () => store.pushSubscriptions(),
    onGone: (endpoint) => {
      store.commit({ ...NOTHING, pushChanges: [{ endpoint, subscription: null }] });
    },
  });
  if ('problems' in opened) {
    stopWallWatch();
    store.close();
    return { problem: opened.problems.join('\n') };
  }
  const { contacts, timeZone } = settings.telling;
  const delivery = startDelivery({
    opened,
    store,
    clock,
    random,
    log,
    alerts: () => [],
    boatName: 'the watch ashore',
    contacts,
    utcNowMs: () => wall.nowMs(),
    digestOf: (letters, nowMs) => digestOf(letters, nowMs, timeZone, wall.nowMs() - clock.nowMs()),
  });
  return {
    tell(letter) {
      const result = store.commit({ ...NOTHING, letters: [letter] });
      if (!result.isDurable) throw new Error(result.problem);
      delivery.look();
    },
    problems: () => [...store.health().problems, ...delivery.problems()],
    async stop() {
      await delivery.stop();
      stopWallWatch();
      store.close();
    },
  };
}
