/**
 * Reads the boat's topics from a broker that is already aboard. Each attempt is a fresh client with
 * a fresh session, so nothing is left over from the last; between attempts the wait grows.
 *
 * It subscribes at QoS 0: a broker then neither queues old values for us nor sends one twice. What
 * the broker still marks as retained was said before we listened, and is restored, never fresh.
 */
import { MqttClient, type IClientOptions } from 'mqtt';
import type { Clock } from '../clock.ts';
import { createBackoff } from './backoff.ts';
import { certificateProblem, openSocket, readBrokerUrl, type BrokerUrl } from './broker-url.ts';
import { guardConnection } from './guarded-connection.ts';
import type { IntakeCounters } from './intake-counters.ts';
import type { IntakeLog } from './intake-log.ts';
import type { SensorMessage } from './message-intake.ts';
import { createPacketFilter } from './packet-filter.ts';
import { MOST_PAYLOAD_BYTES } from './payload-text.ts';
import { printable } from './refusals.ts';
import { isLoopback } from './sensor-access.ts';

const KEEPALIVE_SECONDS = 30;
const CONNECT_TIMEOUT_MS = 10_000;
const MOST_PACKET_BYTES = MOST_PAYLOAD_BYTES + 1024;
/** A connection that held this long was a good one; the next wait starts small. */
const STEADY_MS = 30_000;
/** SUBACK's code for a subscription that the broker does not grant (MQTT 3.1.1 section 3.9.3). */
const NOT_GRANTED = 0x80;

export interface OutsideBrokerOptions {
  /** `mqtt://host:port` or `mqtts://host:port`, without user name and password. */
  url: string;
  username?: string;
  password?: string;
  /** Certificate authority in PEM for `mqtts:`; default: those that Node trusts. */
  ca?: string;
  topics: readonly string[];
  /** For waiting on the network: real time, also where readings are stamped with a faster one. */
  linkClock: Clock;
  /** Numbers in 0..1 for the client id and the jitter of reconnecting. */
  random: () => number;
  counters: IntakeCounters;
  log: IntakeLog;
  onMessage: (message: SensorMessage) => void;
}

export interface OutsideBroker {
  /** The broker's address. */
  address: string;
  /** Connected, and the broker has answered our subscription. */
  isConnected(): boolean;
  /** Why it is not, in the broker's or the network's words; null when all is well. */
  lastError(): string | null;
  stop(): Promise<void>;
}

/** Connects in the background, for ever; `problem` only for settings that can never work. */
export function connectOutsideBroker(
  options: OutsideBrokerOptions,
): OutsideBroker | { problem: string } {
  const url = readBrokerUrl(options.url);
  if ('problem' in url) return url;
  const problem = options.ca === undefined ? undefined : certificateProblem(options.ca);
  return problem === undefined ? keepConnected(url, options) : { problem };
}

function keepConnected(url: BrokerUrl, options: OutsideBrokerOptions): OutsideBroker {
  const { linkClock, counters, log, topics, onMessage } = options;
  const settings = clientOptions(options);
  if (options.password !== undefined && !url.isTls && !isLoopback(url.host)) {
    log.warn(
      `MQTT broker ${url.address}: the password goes over the network unencrypted; mqtts:// hides it`,
    );
  }
  const backoff = createBackoff(options.random);
  let client: MqttClient | null = null;
  let cancelRetry = (): void => {};
  let connectedAtMs: number | null = null;
  let isSubscribed = false;
  let lastError: string | null = 'not connected yet';

  const onSubscribed = (error: Error | null, codes: readonly unknown[]): void => {
    const refused = topics.filter((_topic, at) => codes[at] === NOT_GRANTED);
    for (const topic of refused) counters.refuse({ reason: 'broker refuses subscription' }, topic);
    if (error && refused.length === 0) return;
    isSubscribed = true;
    lastError = null;
    log.info(`MQTT broker ${url.address}: connected, ${topics.length - refused.length} topics`);
  };

  const onConnect = (fresh: MqttClient): void => {
    connectedAtMs = linkClock.nowMs();
    if (topics.length === 0) onSubscribed(null, []);
    else {
      fresh.subscribe([...topics], { qos: 0 }, (error, _granted, packet) => {
        if (client === fresh) onSubscribed(error, packet?.granted ?? []);
      });
    }
  };

  const onClose = (): void => {
    const heldMs = connectedAtMs === null ? 0 : linkClock.nowMs() - connectedAtMs;
    if (heldMs >= STEADY_MS) backoff.reset();
    connectedAtMs = null;
    isSubscribed = false;
    lastError ??= 'the connection was closed';
    const waitMs = backoff.nextMs();
    const inSeconds = Math.round(waitMs / 1000);
    log.warn(`MQTT broker ${url.address}: ${lastError}; trying again in ${inSeconds} s`);
    cancelRetry = linkClock.after(waitMs, attempt);
  };

  function attempt(): void {
    const filter = createPacketFilter(MOST_PACKET_BYTES, (bytes) => {
      counters.refuse({ reason: 'payload too large', found: `${bytes} bytes` }, null);
    });
    const open = () => guardConnection(openSocket(url, options.ca), filter);
    const fresh = new MqttClient(open, settings);
    client = fresh;
    fresh.on('connect', () => onConnect(fresh));
    fresh.on('message', (topic, payload, { dup, retain }) => {
      if (client === fresh) onMessage({ topic, payload, mayBeRepeat: dup, isRestored: retain });
    });
    fresh.on('error', (error) => {
      lastError = printable(error.message, 200);
      fresh.stream.destroy();
    });
    fresh.on('close', () => {
      if (client !== fresh) return;
      client = null;
      onClose();
    });
  }

  attempt();
  return {
    address: url.address,
    isConnected: () => isSubscribed,
    lastError: () => lastError,
    async stop() {
      cancelRetry();
      const last = client;
      client = null;
      isSubscribed = false;
      await last?.endAsync(true);
    },
  };
}

function clientOptions(options: OutsideBrokerOptions): IClientOptions {
  const { username, password } = options;
  return {
    clientId: `panelward-${Math.floor(options.random() * 2 ** 32).toString(16)}`,
    clean: true,
    keepalive: KEEPALIVE_SECONDS,
    connectTimeout: CONNECT_TIMEOUT_MS,
    // Waiting and trying again is done here, by our own clock.
    reconnectPeriod: 0,
    resubscribe: false,
    ...(username !== undefined && { username }),
    ...(password !== undefined && { password }),
  };
}
