/**
 * Puts the parts together and takes them apart again. Nothing else knows them all.
 * Order matters: the store is open before the watch remembers, the watch runs before sensors speak.
 */
import { hostname } from 'node:os';
import { join } from 'node:path';
import type { Boat } from '../rules/index.ts';
import { ListenProblem, startApi } from './api/api.ts';
import type { HealthAnswer } from './api/contract.ts';
import { readBrokerLogin } from './broker-login.ts';
import { apiParts } from './api-parts.ts';
import type { Clock } from './clock.ts';
import { startHeart } from './heart.ts';
import { startIntake } from './intake/intake.ts';
import type { IntakeOptions } from './intake/intake.ts';
import { readSensorAccess } from './intake/sensor-access.ts';
import { openPageAccess } from './page-access.ts';
import { openPostOffice, postParts, startPostOffice, tellingOf } from './post-office.ts';
import { watchItself } from './self-watch.ts';
import type { Secrets } from './settings/secrets.ts';
import { DEFAULT_SETTINGS } from './settings/settings.ts';
import type { Settings } from './settings/settings.ts';
import { Station } from './station.ts';
import { openStore, StoreProblem } from './store/store.ts';
import { keepSurveys } from './survey/keep-surveys.ts';
import { packageFolder, packageVersion } from './version.ts';
import { clockHealthOf, type WallSource, watchWallClock } from './wall-clock.ts';

export interface DaemonOptions {
  boat: Boat;
  clock: Clock;
  /** The computer's wall clock; without it nobody vouches for UTC, as in a demonstration. */
  wall?: WallSource;
  /** Folder of the database files; made if it is not there. */
  dataFolder: string;
  host: string;
  /** 0 takes any free port. */
  port: number;
  log: (line: string) => void;
  /** Numbers in 0..1, for the jitter of reconnecting. */
  random?: () => number;
  intake?: Partial<
    Pick<IntakeOptions, 'mqtt' | 'mqttHost' | 'marineDataUrl' | 'messagesPerSecond' | 'linkClock'>
  >;
  settings?: Settings;
  secrets?: Secrets;
  demo?: { scenario: string | null; speed: number };
  /** The boat's own console, if somebody is at it: what is said there is in no log. */
  tellConsole?: (line: string) => void;
  /** Its disk, clock, links and pace raise alerts too; not in a demonstration. */
  isWatchingItself?: boolean;
  /** The caller starts the station when the boat is there to be heard. */
  isStartedLater?: boolean;
  pageFolder?: string;
}

export interface Daemon {
  /** Address of the page. */
  address: string;
  mqttAddress: string;
  station: Station;
  intakeHealth(): HealthAnswer['intake'];
  health(): HealthAnswer;
  stop(): Promise<void>;
}

/** Starts everything, or says in one sentence what stood in the way; then nothing is left running. */
export async function startDaemon(options: DaemonOptions): Promise<Daemon | { problem: string }> {
  const { boat, clock, log, settings = DEFAULT_SETTINGS, secrets = new Map() } = options;
  const access = readSensorAccess(settings.sensors, secrets);
  if ('problem' in access) return access;
  const login = readBrokerLogin(settings.broker, secrets);
  if ('problem' in login) return login;
  const startedAtMs = clock.nowMs();
  const version = packageVersion();
  let store: ReturnType<typeof openStore>;
  try {
    store = openStore({
      folder: options.dataFolder,
      clock,
      log,
      expectedEveryMs: (id) => boat.points.get(id)?.expectedEveryMs,
      ...(options.demo && { ballastBytes: 0 }),
    });
  } catch (error) {
    if (error instanceof StoreProblem) return { problem: error.message };
    throw error;
  }
  const stopWallWatch = options.wall
    ? watchWallClock({ clock, wall: options.wall, record: store, log })
    : () => {};
  const closeStore = (): void => {
    stopWallWatch();
    store.close();
  };
  const post = {
    boat,
    store,
    clock,
    linkClock: options.intake?.linkClock,
    random: options.random ?? Math.random,
    settings,
    secrets,
    dataFolder: options.dataFolder,
    mqttAddress: () => mqttAddress,
    alerts: () => station.openAlerts(),
    log,
  };
  const postOffice = openPostOffice(post);
  if ('problem' in postOffice) {
    closeStore();
    return postOffice;
  }
  const station: Station = new Station(boat, store, clock, tellingOf(post));
  const intake = await startIntake({
    boat,
    clock,
    random: options.random ?? Math.random,
    onReading: (input) => station.take(input),
    log: { info: log, warn: log },
    access,
    ...login,
    ...options.intake,
  });
  if ('problem' in intake) {
    station.stop();
    closeStore();
    return intake;
  }
  const heart =
    settings.heartbeat &&
    startHeart({
      settings: settings.heartbeat,
      secrets,
      boat: boat.name,
      version,
      clock,
      station,
      store,
      log,
      onHeard: () => delivery.networkIsBack(),
    });
  if (heart && 'problem' in heart) {
    await intake.stop();
    station.stop();
    closeStore();
    return heart;
  }
  const { mqttAddress } = intake;
  const delivery = startPostOffice(postOffice.opened, post);
  const stopTelling = station.onUpdate(() => delivery.look());
  if (options.isStartedLater !== true) station.start();

  const surveys = keepSurveys({
    boat,
    clock,
    store,
    path: join(options.dataFolder, 'surveys.db'),
    log,
  });
  const page = openPageAccess({
    folder: options.dataFolder,
    clock,
    wallNowMs: () => options.wall?.nowMs() ?? clock.nowMs(),
    host: options.host,
    page: settings.page,
    log,
    ...(options.tellConsole && { tellConsole: options.tellConsole }),
  });
  const stopSelfWatch = options.isWatchingItself
    ? watchItself({
        clock,
        station,
        store,
        intake,
        certificateDaysLeft: () => page.certificateDaysLeft(),
        failedSignIns: () => page.failedSignIns(),
      })
    : () => {};
  const health = (): HealthAnswer => {
    const storeHealth = store.health();
    const problems = [
      ...intake.problems(),
      ...storeHealth.problems,
      ...page.problems(),
      ...(heart?.problems() ?? []),
      ...delivery.problems(),
    ];
    return {
      status: problems.length === 0 ? 'ok' : 'degraded',
      version,
      nowMs: clock.nowMs(),
      startedAtMs,
      problems,
      points: station.panel?.points ?? [],
      intake: intake.health(),
      store: storeHealth,
      clock: clockHealthOf(store.boots()),
      ...(heart && { heartbeat: heart.health() }),
      evaluation: station.evaluation,
    };
  };
  const stopBehindApi = async (): Promise<void> => {
    stopSelfWatch();
    await heart?.stop();
    await intake.stop();
    await surveys.stop();
    station.stop();
    page.close();
    stopTelling();
    await delivery.stop();
    closeStore();
  };
  try {
    const api = await startApi({
      parts: apiParts({
        boat,
        version,
        startedAtMs,
        demo: options.demo,
        station,
        store,
        surveys: surveys.desk,
        health,
        post: postParts(delivery, post),
      }),
      clock,
      ...page.api,
      // A phone on the boat's network calls it by either.
      names: [hostname(), `${hostname()}.local`, ...settings.page.names],
      port: options.port,
      pageFolder: options.pageFolder ?? join(packageFolder(), '.build', 'dashboard'),
      log,
      version,
    });
    return {
      address: api.address,
      mqttAddress: intake.mqttAddress,
      station,
      intakeHealth: () => intake.health(),
      health,
      async stop() {
        await api.stop();
        await stopBehindApi();
      },
    };
  } catch (error) {
    await stopBehindApi();
    if (error instanceof ListenProblem) return { problem: error.message };
    throw error;
  }
}
