/** A server of open marine data that says at once what it is given: hello, then each delta. */
import { once } from 'node:events';
import type { AddressInfo } from 'node:net';
import { WebSocketServer } from 'ws';

export interface MarinePeer {
  url: string;
  /** Sends a frame to every client; returns how many frames that were. */
  send(frame: string): number;
  clients(): number;
  close(): Promise<void>;
}

export async function startMarinePeer(self: string): Promise<MarinePeer> {
  const server = new WebSocketServer({ host: '127.0.0.1', port: 0 });
  await once(server, 'listening');
  server.on('connection', (socket) => {
    socket.send(JSON.stringify({ version: '1.8.2', roles: ['master', 'main'], self }));
  });
  const { port } = server.address() as AddressInfo;
  return {
    url: `ws://127.0.0.1:${port}/signalk/v1/stream?subscribe=none`,
    send(frame) {
      for (const client of server.clients) client.send(frame);
      return server.clients.size;
    },
    clients: () => server.clients.size,
    async close() {
      for (const client of server.clients) client.terminate();
      server.close();
      await once(server, 'close');
    },
  };
}
