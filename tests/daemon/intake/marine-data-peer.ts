/** A scripted open marine data server on a WebSocket: it says what a test tells it to, right or wrong. */
import { once } from 'node:events';
import { createServer, type IncomingMessage } from 'node:http';
import { WebSocketServer, type WebSocket } from 'ws';
import { stopAfterwards, until } from './gathering.ts';
import { assertDelta, assertHello } from './marine-schemas.ts';

export const SELF = 'vessels.urn:mrn:signalk:uuid:6b0e776f-811a-4b35-980e-b93405371bc5';

export interface PeerConnection {
  socket: WebSocket;
  request: IncomingMessage;
  /** What our side has sent, parsed. */
  received: unknown[];
  /** A hello as the standard has it; `atMs` null: a server whose clock is not set. */
  hello(atMs: number | null): void;
  /** One value as a delta that the published schema accepts. */
  value(
    path: string,
    value: unknown,
    more: { atMs?: number; source?: string; context?: string },
  ): void;
  /** Anything at all, unchecked. */
  raw(frame: unknown): void;
}

export interface Peer {
  url: string;
  connections: PeerConnection[];
  /** The newest connection, once there are `count` of them. */
  connection(count: number): Promise<PeerConnection>;
}

/** `refuseWith`: answers every upgrade with this HTTP status. `isDeaf`: never answers a ping. */
export async function startPeer({
  refuseWith,
  isDeaf = false,
}: { refuseWith?: number; isDeaf?: boolean } = {}): Promise<Peer> {
  const connections: PeerConnection[] = [];
  const http = createServer().listen(0, '127.0.0.1');
  const server = new WebSocketServer({ noServer: true, autoPong: !isDeaf });
  http.on('upgrade', (request, socket, head) => {
    if (refuseWith !== undefined) {
      socket.end(`HTTP/1.1 ${refuseWith} Refused\r\nContent-Length: 0\r\n\r\n`);
      return;
    }
    server.handleUpgrade(request, socket, head, (accepted) => {
      connections.push(connectionOf(accepted, request));
    });
  });
  await once(http, 'listening');
  const bound = http.address();
  if (bound === null || typeof bound === 'string') throw new Error('no port');
  stopAfterwards(() => {
    for (const { socket } of connections) socket.terminate();
    http.closeAllConnections();
    http.close();
  });
  return {
    url: `ws://127.0.0.1:${bound.port}/signalk/v1/stream`,
    connections,
    async connection(count) {
      await until(`connection ${count}`, () => connections.length >= count);
      const newest = connections[count - 1];
      if (!newest) throw new Error('no connection');
      return newest;
    },
  };
}

const time = (atMs: number): string => new Date(atMs).toISOString();

function connectionOf(socket: WebSocket, request: IncomingMessage): PeerConnection {
  const received: unknown[] = [];
  socket.on('error', () => {});
  socket.on('message', (bytes: Buffer) => received.push(JSON.parse(bytes.toString())));
  return {
    socket,
    request,
    received,
    hello(atMs) {
      const hello = {
        name: 'a scripted server',
        version: '1.8.2',
        self: SELF,
        roles: ['master', 'main'],
        ...(atMs !== null && { timestamp: time(atMs) }),
      };
      assertHello(hello);
      socket.send(JSON.stringify(hello));
    },
    value(path, value, { atMs, source = 'shunt.1', context = SELF }) {
      const update = {
        $source: source,
        ...(atMs !== undefined && { timestamp: time(atMs) }),
        values: [{ path, value }],
      };
      const delta = { context, updates: [update] };
      assertDelta(delta);
      socket.send(JSON.stringify(delta));
    },
    raw(frame) {
      socket.send(
        typeof frame === 'string' || Buffer.isBuffer(frame) ? frame : JSON.stringify(frame),
      );
    },
  };
}
