/**
 * The MQTT broker inside the daemon, for boats that have none. It trusts no client: packet sizes,
 * rates, topics, subscriptions, retained messages and connections are all bounded (the bounds are
 * in this file, `broker-policy.ts` and `retained-budget.ts`). Sessions are never kept.
 */
import { once } from 'node:events';
import { createServer, type Server, type Socket } from 'node:net';
import type { Duplex } from 'node:stream';
import { Aedes, type Client } from 'aedes';
import type { Clock } from '../clock.ts';
import { createBrokerGate } from './broker-gate.ts';
import { createBrokerPolicy } from './broker-policy.ts';
import { createDoorway, MOST_CLIENTS, MOST_WAITING } from './doorway.ts';
import { guardConnection } from './guarded-connection.ts';
import type { IntakeCounters } from './intake-counters.ts';
import type { IntakeLog } from './intake-log.ts';
import type { SensorMessage } from './message-intake.ts';
import { createPacketFilter } from './packet-filter.ts';
import { MOST_PAYLOAD_BYTES } from './payload-text.ts';
import type { RefusalReason } from './refusals.ts';
import { isLoopback, LOCAL_ONLY } from './sensor-access.ts';
import type { SensorAccess } from './sensor-access.ts';

/** Room for a payload of the greatest size, its topic, and a little more than that. */
const MOST_PACKET_BYTES = MOST_PAYLOAD_BYTES + 1024;
const CONNECT_TIMEOUT_MS = 5_000;
const LONGEST_GIVEN_ID = 256;
/** QoS 2 messages of one client that wait for their release. */
const MOST_IN_FLIGHT = 20;

export interface EmbeddedBrokerOptions {
  host: string;
  /** 0: any free port; `address` then tells which. */
  port: number;
  clock: Clock;
  counters: IntakeCounters;
  log: IntakeLog;
  onMessage: (message: SensorMessage) => void;
  /** Who may speak from other computers. Default: nobody. */
  access?: SensorAccess;
  /** Whether an address is this computer's own. Default: the loopback addresses. */
  isLocal?: (address: string) => boolean;
  /** What one client may publish on average; twice that in a burst. Default 200. */
  messagesPerSecond?: number;
  /** How long a subscriber may keep others waiting before it is cut off, real time. Default 2000. */
  drainTimeoutMs?: number;
}

export interface EmbeddedBroker {
  /** `host:port` as it really listens. */
  address: string;
  clients(): number;
  /** Ends every connection and frees the port. Wills of the clients may still be heard meanwhile. */
  stop(): Promise<void>;
}

/** `problem` is a whole sentence for a person: why the broker cannot listen, and what to do. */
export async function startEmbeddedBroker(
  options: EmbeddedBrokerOptions,
): Promise<EmbeddedBroker | { problem: string }> {
  const { host, port, counters, log } = options;
  /** By the connection that a client has; the address as it was when the connection came. */
  const ends = new WeakMap<Duplex, { socket: Socket; peer: string }>();
  // Whoever has no known address is nobody from here.
  const broker = await startAedes(options, ({ conn }) => ends.get(conn)?.peer ?? '');
  const countRefused = (): void => counters.refuse({ reason: 'too many clients' }, null);
  const doorway = createDoorway(countRefused);
  broker.on('clientReady', ({ conn }) => {
    const end = ends.get(conn);
    if (end) doorway.welcome(end.socket);
  });
  const server = createServer((socket) => {
    const peer = socket.remoteAddress ?? '';
    doorway.enter(socket);
    if (socket.destroyed) return;
    const connection = guarded(socket, counters);
    ends.set(connection, { socket, peer });
    broker.handle(connection);
  });
  server.maxConnections = MOST_CLIENTS + MOST_WAITING;
  server.on('drop', countRefused);

  // Accepting may fail later on, say when the system is out of file handles; the next may succeed.
  server.on('error', ({ message }) => log.warn(`MQTT broker: ${message}`));
  const problem = await listen(server, host, port);
  if (problem) {
    await closeBroker(broker);
    return { problem };
  }
  return {
    address: addressOf(server),
    // The broker's own count of clients drifts when clients with one id push each other out.
    clients: () => doorway.count(),
    async stop() {
      const closed = once(server, 'close');
      server.close();
      await closeBroker(broker);
      doorway.closeAll();
      await closed;
    },
  };
}

async function startAedes(
  options: EmbeddedBrokerOptions,
  peerOf: (client: Client) => string,
): Promise<Aedes> {
  const { clock, counters, log, onMessage, access = LOCAL_ONLY } = options;
  const { messagesPerSecond = 200, drainTimeoutMs = 2_000 } = options;
  const isLocal = options.isLocal ?? isLoopback;
  const gate = createBrokerGate({ access, counters, peerOf, isLocal });
  const broker = await Aedes.createBroker({
    ...createBrokerPolicy({ clock, counters, gate, messagesPerSecond, onMessage }),
    // The ids that the gate gives are longer than those of old clients may be.
    maxClientsIdLength: LONGEST_GIVEN_ID,
    connectTimeout: CONNECT_TIMEOUT_MS,
    drainTimeout: drainTimeoutMs,
    maxInflightInbound: MOST_IN_FLIGHT,
  });
  const counted = new WeakSet<Client>();
  const count = (client: Client, error: Error): void => {
    const reason = whyHungUp(error);
    // The first error ends the client; each of its pending writes may report one more.
    if (reason && !counted.has(client)) counters.refuse({ reason, found: error.message }, null);
    counted.add(client);
  };
  broker.addListener('error', (error: Error) => log.warn(`MQTT broker: ${error.message}`));
  broker.on('clientError', count);
  broker.on('connectionError', count);
  return broker;
}

/** Why aedes hung up on a client, from the error it gives; undefined: nothing was refused. */
function whyHungUp(error: Error): RefusalReason | undefined {
  // An error with a code is the network's (reset, broken pipe) or was counted where it was made.
  if ('code' in error) return undefined;
  const { message } = error;
  if (message === 'connection closed' || message === 'keep alive timeout') return undefined;
  if (message === 'drain timeout') return 'slow subscriber';
  if (/queue limit|maxInflightInbound/.test(message)) return 'too many messages';
  return 'not MQTT';
}

/** The connection, which is cut when a packet too large is announced on it. */
function guarded(socket: Socket, counters: IntakeCounters): Duplex {
  const filter = createPacketFilter(MOST_PACKET_BYTES, (bytes) => {
    counters.refuse({ reason: 'packet too large', found: `${bytes} bytes` }, null);
    socket.destroy();
  });
  return guardConnection(socket, filter);
}

async function listen(server: Server, host: string, port: number): Promise<string | undefined> {
  try {
    server.listen(port, host);
    await once(server, 'listening');
    return undefined;
  } catch (error) {
    return listenProblem(error, host, port);
  }
}

function listenProblem(error: unknown, host: string, port: number): string {
  const code = error instanceof Error && 'code' in error ? String(error.code) : String(error);
  const what = `The MQTT broker cannot listen on ${host}, port ${port}`;
  if (code === 'EADDRINUSE') {
    return `${what}: another program has that port, most likely another MQTT broker. Stop it, give intake.mqtt another port in the boat file, or name that broker there: broker: mqtt://${host}:${port}.`;
  }
  if (code === 'EACCES') {
    return `${what}: the system does not allow it. Ports below 1024 need a special right; 1883 does not.`;
  }
  if (code === 'EADDRNOTAVAIL' || code === 'ENOTFOUND') {
    return `${what}: this machine has no such address. 127.0.0.1 serves this machine only, 0.0.0.0 every network it is on.`;
  }
  return `${what}: ${code}.`;
}

function addressOf(server: Server): string {
  const bound = server.address();
  if (bound === null || typeof bound === 'string') throw new Error('not listening on TCP');
  const { address, port, family } = bound;
  return family === 'IPv6' ? `[${address}]:${port}` : `${address}:${port}`;
}

function closeBroker(broker: Aedes): Promise<void> {
  return new Promise((resolve) => {
    broker.close(() => resolve());
  });
}
