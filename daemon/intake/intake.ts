/**
 * Everything that comes into the daemon from sensors: one MQTT broker (our own, or one aboard) and
 * at most one open marine data server. Readings leave through `onReading`, in order of arrival and
 * stamped with the daemon's clock. What cannot become a reading is counted, never thrown.
 */
import type { Boat, Intake as IntakeSettings, Reading, Silence } from '../../rules/index.ts';
import type { IntakeHealth } from '../api/contract.ts';
import type { Clock } from '../clock.ts';
import { startEmbeddedBroker } from './embedded-broker.ts';
import { createCounters } from './intake-counters.ts';
import type { ChannelCount, IntakeCounters, MarineCount } from './intake-counters.ts';
import type { IntakeLog } from './intake-log.ts';
import { connectMarineData, type MarineDataClient } from './marine-data-client.ts';
import { createMessageIntake, type MessageIntake } from './message-intake.ts';
import { connectOutsideBroker } from './outside-broker.ts';
import { planPoints, type PointPlan } from './point-plan.ts';
import { isLoopback, LOCAL_ONLY } from './sensor-access.ts';
import type { SensorAccess } from './sensor-access.ts';

export interface IntakeOptions {
  boat: Boat;
  clock: Clock;
  /**
   * For waiting on the network (hello, silence, trying again). Give one that runs at real speed
   * where `clock` does not. Default: `clock`.
   */
  linkClock?: Clock;
  /** Numbers in 0..1, for jitter and the client id; `Math.random` aboard. */
  random: () => number;
  onReading: (input: Reading | Silence) => void;
  log: IntakeLog;
  /** In place of the boat file's `intake.mqtt`. */
  mqtt?: IntakeSettings['mqtt'];
  /** Where the embedded broker listens. Default 127.0.0.1: this machine only. */
  mqttHost?: string;
  /** Who may speak to the embedded broker from other computers. Default: nobody. */
  access?: SensorAccess;
  /** At an outside broker, in place of the boat file's `intake.mqtt.username`. */
  mqttUser?: string;
  mqttPassword?: string;
  /** Certificate authority in PEM for an outside broker with TLS. */
  mqttCa?: string;
  /** What one client of the embedded broker may publish on average. Default 200. */
  messagesPerSecond?: number;
  /** In place of the boat file's `intake.marineData.url`; null: none. */
  marineDataUrl?: string | null;
  marineDataToken?: string;
}

export interface Intake {
  health(): IntakeHealth;
  /** Whole sentences for a person about what keeps readings from coming in; empty when all is well. */
  problems(): string[];
  /** `host:port` of the embedded broker as it really listens, or the outside broker's address. */
  mqttAddress: string;
  /** Closes every connection and port; nothing reaches `onReading` after the call. */
  stop(): Promise<void>;
}

const NOBODY_MAY_SPEAK =
  'The MQTT broker is to be reached over a network, but no sensor has a name and token there. Make one with `panelward sensor-token NAME` and put the line it prints into settings.yaml, or let anyone publish with `sensors: { anonymousOnNetwork: true }`.';

/** What both kinds of broker have in common. */
interface MqttSide {
  mode: 'embedded' | 'client';
  address: string;
  isConnected(): boolean;
  clients(): number | null;
  lastError(): string | null;
  stop(): Promise<void>;
}

/** `problem` is a whole sentence: why intake cannot start, and what to do. Nothing is left open then. */
export async function startIntake(options: IntakeOptions): Promise<Intake | { problem: string }> {
  const { boat, clock, log } = options;
  let isStopped = false;
  const onReading = (input: Reading | Silence): void => {
    if (!isStopped) options.onReading(input);
  };
  const plan = planPoints(boat);
  const counters = createCounters(clock, log);
  const mqttCount: ChannelCount = { messages: 0, readings: 0 };
  const marineCount: MarineCount = { messages: 0, readings: 0, repeated: 0 };
  const { byTopic } = plan;
  const messages = createMessageIntake({ byTopic, clock, counters, channel: mqttCount, onReading });

  const mqtt = await startMqtt(options, plan, counters, messages);
  if ('problem' in mqtt) return mqtt;
  const marine = startMarineData({ ...options, onReading }, plan, counters, marineCount);
  if (marine && 'problem' in marine) {
    await mqtt.stop();
    return marine;
  }

  return {
    mqttAddress: mqtt.address,
    health: () => ({
      mqtt: {
        mode: mqtt.mode,
        address: mqtt.address,
        isConnected: mqtt.isConnected(),
        clients: mqtt.clients(),
        ...mqttCount,
      },
      marineData: marine && marineHealth(marine, marineCount),
      refused: counters.refused(),
      unmapped: counters.unmappedAddresses(),
    }),
    problems: () => [
      ...openProblem(mqtt.mode, options),
      ...problemOf(`The MQTT broker ${mqtt.address}`, mqtt),
      ...(marine ? problemOf(`The open marine data server ${marine.address}`, marine) : []),
    ],
    async stop() {
      isStopped = true;
      await Promise.all([mqtt.stop(), marine?.stop()]);
    },
  };
}

async function startMqtt(
  options: IntakeOptions,
  plan: PointPlan,
  counters: IntakeCounters,
  messages: MessageIntake,
): Promise<MqttSide | { problem: string }> {
  const { clock, log, mqttHost: host = '127.0.0.1', messagesPerSecond } = options;
  const { access = LOCAL_ONLY } = options;
  const settings = options.mqtt ?? options.boat.intake.mqtt;
  const onMessage = messages.take;
  if ('port' in settings) {
    if (!isLoopback(host) && !access.isOpenToAll && access.credentials.size === 0) {
      return { problem: NOBODY_MAY_SPEAK };
    }
    const { port } = settings;
    const rate = messagesPerSecond === undefined ? {} : { messagesPerSecond };
    const where = { host, port, clock, counters, log, onMessage, access, ...rate };
    const broker = await startEmbeddedBroker(where);
    if ('problem' in broker) return broker;
    return { mode: 'embedded', isConnected: () => true, lastError: () => null, ...broker };
  }
  const { random, mqttPassword, mqttCa, linkClock = clock } = options;
  const username = options.mqttUser ?? settings.username;
  const topics = [...plan.byTopic.keys()];
  const broker = connectOutsideBroker({
    url: settings.broker,
    ...(username !== undefined && { username }),
    ...(mqttPassword !== undefined && { password: mqttPassword }),
    ...(mqttCa !== undefined && { ca: mqttCa }),
    topics,
    linkClock,
    random,
    counters,
    log,
    onMessage,
  });
  return 'problem' in broker ? broker : { mode: 'client', clients: () => null, ...broker };
}

function startMarineData(
  options: IntakeOptions,
  { byPath }: PointPlan,
  counters: IntakeCounters,
  channel: MarineCount,
): MarineDataClient | { problem: string } | null {
  const { boat, marineDataUrl, marineDataToken, linkClock = options.clock } = options;
  const url = marineDataUrl === undefined ? boat.intake.marineData?.url : marineDataUrl;
  if (url === undefined || url === null) return null;
  const token = marineDataToken === undefined ? {} : { token: marineDataToken };
  return connectMarineData({ ...options, linkClock, url, byPath, counters, channel, ...token });
}

function marineHealth(marine: MarineDataClient, count: MarineCount): IntakeHealth['marineData'] {
  return {
    url: marine.address,
    isConnected: marine.isConnected(),
    frames: count.messages,
    readings: count.readings,
    repeated: count.repeated,
    lastError: marine.lastError(),
  };
}

/** Stands for as long as strangers may make up readings. */
function openProblem(mode: MqttSide['mode'], { access, mqttHost }: IntakeOptions): string[] {
  const isOpen =
    mode === 'embedded' && access?.isOpenToAll === true && !isLoopback(mqttHost ?? '127.0.0.1');
  return isOpen
    ? [
        'Anyone on the network can make up readings, because `sensors.anonymousOnNetwork` is set; give each sensor a name and token, and take it out.',
      ]
    : [];
}

function problemOf(
  who: string,
  side: { isConnected(): boolean; lastError(): string | null },
): string[] {
  if (side.isConnected()) return [];
  return [`${who} cannot be reached: ${side.lastError() ?? 'no reason given'}.`];
}
