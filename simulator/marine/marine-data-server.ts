/**
 * A small server of open marine data for the simulated boat: hello, subscriptions, cached values
 * with the time they were said, meta of every path once per client. Loopback only; nothing can be
 * switched through it.
 */
import { once } from 'node:events';
import { createServer } from 'node:http';
import type { IncomingMessage, ServerResponse } from 'node:http';
import type { Duplex } from 'node:stream';
import { WebSocket, WebSocketServer } from 'ws';
import * as z from 'zod';
import { readClientMessage } from './client-message.ts';
import type { PathMeta } from './path-meta.ts';
import { Subscriptions, keyOf } from './subscriptions.ts';
import type { Said } from './subscriptions.ts';

export interface MarineDataSetting {
  /** 0: any free port. */
  port: number;
  /** The vessel's full context, `vessels.urn:...`. */
  self: string;
  meta: readonly PathMeta[];
  /** The boat's wall time. */
  wallMs: () => number;
  /** How many boat seconds pass in one; periods of subscriptions are the boat's. */
  speed: number;
}

export interface MarineDataServer {
  readonly port: number;
  /** Takes one delta as JSON text and sends it to whoever asked for it. */
  publish(delta: string): void;
  close(): Promise<void>;
}

interface Client {
  socket: WebSocket;
  subscriptions: Subscriptions;
  /** Paths whose meta it has been sent. */
  knowsMetaOf: Set<string>;
}

/** The deltas that the simulated sensors make. */
const deltaSchema = z.object({
  context: z.string(),
  updates: z.array(
    z.object({
      $source: z.string(),
      timestamp: z.string(),
      values: z.array(z.object({ path: z.string(), value: z.unknown() })),
    }),
  ),
});

const STREAM_PATH = '/signalk/v1/stream';
const SPECIFICATION = '1.8.2';
const TICK_MS = 20;
const MOST_FRAME_BYTES = 64 * 1024;
/** A client that reads so slowly is cut off. */
const MOST_BUFFERED_BYTES = 4 * 1024 * 1024;

/** Rejects where the port cannot be listened on. */
export async function startMarineDataServer(setting: MarineDataSetting): Promise<MarineDataServer> {
  const server = new Server(setting);
  await server.listen();
  return server;
}

class Server implements MarineDataServer {
  readonly #setting: MarineDataSetting;
  readonly #startedMs = performance.now();
  readonly #http = createServer((request, response) => this.#answer(request, response));
  readonly #sockets = new WebSocketServer({ noServer: true, maxPayload: MOST_FRAME_BYTES });
  readonly #clients = new Set<Client>();
  readonly #cache = new Map<string, Said>();
  #tick: NodeJS.Timeout | undefined;

  constructor(setting: MarineDataSetting) {
    this.#setting = setting;
    this.#http.on('upgrade', (request, socket, head) => this.#upgrade(request, socket, head));
  }

  get port(): number {
    const address = this.#http.address();
    return address === null || typeof address === 'string' ? 0 : address.port;
  }

  async listen(): Promise<void> {
    this.#http.listen(this.#setting.port, '127.0.0.1');
    await once(this.#http, 'listening');
    this.#tick = setInterval(() => this.#sendDue(), TICK_MS);
  }

  publish(delta: string): void {
    const { context, updates } = deltaSchema.parse(JSON.parse(delta));
    for (const { $source, timestamp, values } of updates) {
      const offered = values.map(({ path, value }) => ({
        context,
        path,
        $source,
        timestamp,
        value,
      }));
      for (const said of offered) this.#cache.set(keyOf(said), said);
      for (const client of this.#clients) {
        const nowMs = this.#boatMs();
        const due = offered.flatMap((said) => client.subscriptions.offer(said, nowMs));
        this.#send(client, due);
      }
    }
  }

  async close(): Promise<void> {
    clearInterval(this.#tick);
    for (const { socket } of this.#clients) socket.terminate();
    const closed = once(this.#http, 'close');
    this.#http.close();
    this.#http.closeAllConnections();
    await closed;
  }

  /** Milliseconds of the boat since the start, for periods. */
  #boatMs(): number {
    return (performance.now() - this.#startedMs) * this.#setting.speed;
  }

  #answer(request: IncomingMessage, response: ServerResponse): void {
    const { pathname } = new URL(request.url ?? '/', 'http://localhost');
    if (request.method !== 'GET' || (pathname !== '/signalk' && pathname !== '/signalk/')) {
      response.writeHead(404).end();
      return;
    }
    const stream = `ws://127.0.0.1:${this.port}${STREAM_PATH}`;
    const endpoints = { v1: { version: SPECIFICATION, 'signalk-ws': stream } };
    const server = { id: 'simulated-boat', version: SPECIFICATION };
    response.setHeader('content-type', 'application/json');
    response.end(JSON.stringify({ endpoints, server }));
  }

  #upgrade(request: IncomingMessage, socket: Duplex, head: Buffer): void {
    const { pathname, searchParams } = new URL(request.url ?? '/', 'http://localhost');
    const subscribe = searchParams.get('subscribe') ?? 'self';
    if (pathname !== STREAM_PATH) return refuse(socket, '404 Not Found');
    if (!['self', 'all', 'none'].includes(subscribe)) return refuse(socket, '501 Not Implemented');
    const isCacheWanted = searchParams.get('sendCachedValues') !== 'false';
    this.#sockets.handleUpgrade(request, socket, head, (opened) => {
      this.#welcome(opened, subscribe, isCacheWanted);
    });
  }

  #welcome(socket: WebSocket, subscribe: string, isCacheWanted: boolean): void {
    const client = { socket, subscriptions: new Subscriptions(), knowsMetaOf: new Set<string>() };
    this.#clients.add(client);
    socket.on('close', () => this.#clients.delete(client));
    socket.on('error', () => socket.terminate());
    socket.on('message', (frame) => this.#hear(client, asText(frame)));
    const hello = {
      name: 'simulated boat',
      version: SPECIFICATION,
      self: this.#setting.self,
      roles: ['master', 'main'],
      timestamp: new Date(this.#setting.wallMs()).toISOString(),
    };
    socket.send(JSON.stringify(hello));
    if (subscribe === 'none') return;
    const context = subscribe === 'all' ? '*' : this.#setting.self;
    const row = { context, path: '*', policy: 'instant', periodMs: 1000, minPeriodMs: 0 } as const;
    const cached = client.subscriptions.add(row, this.#cache.values(), this.#boatMs());
    this.#send(client, isCacheWanted ? cached : []);
  }

  #hear(client: Client, text: string): void {
    const message = readClientMessage(text, this.#setting.self);
    if (message === null) return;
    for (const { context, path } of message.unsubscribe) client.subscriptions.remove(context, path);
    const known = new Map<string, Said>();
    for (const row of message.subscribe) {
      for (const said of client.subscriptions.add(row, this.#cache.values(), this.#boatMs())) {
        known.set(keyOf(said), said);
      }
    }
    this.#send(client, [...known.values()]);
    if (message.refusedRequest === null) return;
    const refusal = {
      state: 'COMPLETED',
      statusCode: 405,
      message: 'Nothing here can be switched.',
    };
    client.socket.send(JSON.stringify({ requestId: message.refusedRequest, ...refusal }));
  }

  #sendDue(): void {
    const nowMs = this.#boatMs();
    for (const client of this.#clients) this.#send(client, client.subscriptions.due(nowMs));
  }

  /** One update for each source and time, and before a path's first value its meta. */
  #send(client: Client, values: readonly Said[]): void {
    if (values.length === 0 || client.socket.readyState !== WebSocket.OPEN) return;
    if (client.socket.bufferedAmount > MOST_BUFFERED_BYTES) {
      client.socket.terminate();
      return;
    }
    this.#sendMeta(client, values);
    const byUpdate = new Map<string, Said[]>();
    for (const said of values) {
      const key = `${said.context} ${said.$source} ${said.timestamp}`;
      byUpdate.set(key, [...(byUpdate.get(key) ?? []), said]);
    }
    for (const [first, ...rest] of byUpdate.values()) {
      if (first === undefined) continue;
      const { context, $source, timestamp } = first;
      const update = [first, ...rest].map(({ path, value }) => ({ path, value }));
      const delta = { context, updates: [{ $source, timestamp, values: update }] };
      client.socket.send(JSON.stringify(delta));
    }
  }

  #sendMeta(client: Client, values: readonly Said[]): void {
    const paths = new Set(values.map(({ path }) => path));
    const fresh = this.#setting.meta.filter(
      ({ path }) => paths.has(path) && !client.knowsMetaOf.has(path),
    );
    if (fresh.length === 0) return;
    for (const { path } of fresh) client.knowsMetaOf.add(path);
    const meta = fresh.map(({ path, ...value }) => ({ path, value }));
    const timestamp = new Date(this.#setting.wallMs()).toISOString();
    const updates = [{ timestamp, meta }];
    client.socket.send(JSON.stringify({ context: this.#setting.self, updates }));
  }
}

function refuse(socket: Duplex, status: string): void {
  socket.end(`HTTP/1.1 ${status}\r\nConnection: close\r\nContent-Length: 0\r\n\r\n`);
}

function asText(frame: WebSocket.RawData): string {
  if (Array.isArray(frame)) return Buffer.concat(frame).toString();
  return (frame instanceof ArrayBuffer ? Buffer.from(frame) : frame).toString();
}
